//! Several runs that write into one folder at the same time.

use super::{PHOTO, assert_whole, batch, code, hidden, order, packs, put_orders};
use std::fs;
use std::process::{Command, Stdio};
use tempfile::TempDir;

#[test]
fn two_batches_into_one_folder() {
    let folder = TempDir::new().unwrap();
    let target = folder.path().join("packs");
    put_orders(folder.path(), 5, 127.0);
    assert_eq!(code(&batch(folder.path()).output().unwrap()), 0);
    fs::write(target.join("3-A").join(PHOTO), [1, 2, 3]).unwrap();
    for turn in 0..6 {
        put_orders(folder.path(), 5, 128.0 + f64::from(turn));
        let runs: Vec<_> = (0..3).map(|_| batch(folder.path()).spawn().unwrap()).collect();
        for run in runs {
            let ran = run.wait_with_output().unwrap();
            assert_eq!(code(&ran), 0, "{ran:?}");
        }
        let made = packs(&target);
        assert_eq!((made.len(), hidden(&target)), (5, 0), "{made:?}");
        made.iter().for_each(|pack| assert_whole(pack));
        assert_eq!(fs::read(target.join("3-A").join(PHOTO)).unwrap(), [1, 2, 3]);
    }
}

/// Different states of an order into one folder: in the end it holds one of them, whole.
#[test]
fn several_packs_into_one_folder() {
    let folder = TempDir::new().unwrap();
    let target = folder.path().join("packs/1-A");
    let orders: Vec<_> = (0..4)
        .map(|n| {
            let file = folder.path().join(format!("{n}.json"));
            fs::write(&file, order(1, 120.0 + f64::from(n)).to_string()).unwrap();
            file
        })
        .collect();
    for _ in 0..4 {
        let start = |file| {
            let mut command = Command::new(env!("CARGO_BIN_EXE_wheeldraft"));
            command.arg("pack").arg(file).arg("-o").arg(&target);
            command.stdout(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap()
        };
        let runs: Vec<_> = orders.iter().map(start).collect();
        for run in runs {
            let ran = run.wait_with_output().unwrap();
            assert_eq!(code(&ran), 0, "{ran:?}");
        }
        assert_whole(&target);
        assert_eq!(hidden(&folder.path().join("packs")), 0);
    }
}
