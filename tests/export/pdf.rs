//! PDF: page size, embedded letters, no pictures, several sheets, the same bytes twice. Its text is read back by the reference tests.

use super::sample;
use wheeldraft::export::pdf::{PdfError, pdf};

fn count(bytes: &[u8], what: &str) -> usize {
    bytes.windows(what.len()).filter(|w| *w == what.as_bytes()).count()
}

#[test]
fn pages_have_the_exact_size() {
    let mut a3 = sample::drawing();
    (a3.width, a3.height) = (420.0, 297.0);
    let bytes = pdf(&[sample::drawing(), a3]).unwrap();
    assert!(bytes.starts_with(b"%PDF-1.7"));
    assert_eq!(count(&bytes, "/Type/Page/") + count(&bytes, "/Type /Page\n"), 2);
    let text = String::from_utf8_lossy(&bytes);
    let boxes: Vec<Vec<f64>> = text
        .split("/MediaBox")
        .skip(1)
        .map(|s| {
            let inner = s.split(['[', ']']).nth(1).unwrap();
            inner.split_whitespace().map(|n| n.parse().unwrap()).collect()
        })
        .collect();
    // 1 in = 25.4 mm = 72 pt
    for (got, (w, h)) in boxes.iter().zip([(210.0, 200.0), (420.0, 297.0)]) {
        let want = [0.0, 0.0, w / 25.4 * 72.0, h / 25.4 * 72.0];
        assert!(got.iter().zip(want).all(|(a, b): (&f64, f64)| (a - b).abs() < 1e-3), "{got:?}");
    }
    assert_eq!(boxes.len(), 2);
}

#[test]
fn letters_are_embedded_and_nothing_is_a_picture() {
    let bytes = pdf(&[sample::drawing()]).unwrap();
    assert_eq!(count(&bytes, "/FontFile2"), 2);
    assert_eq!(count(&bytes, "/ToUnicode"), 2);
    assert_eq!(count(&bytes, "/Subtype/Image") + count(&bytes, "/Subtype /Image"), 0);
    assert!(bytes.len() < 80_000, "{}", bytes.len());
}

#[test]
fn same_drawing_same_bytes_whatever_the_time() {
    let sheets = [sample::drawing()];
    assert_eq!(pdf(&sheets).unwrap(), pdf(&sheets).unwrap());
}

#[test]
fn archival_only_with_a_date() {
    let dated = pdf(&[sample::drawing()]).unwrap();
    assert!(count(&dated, "pdfaid:part") > 0 && count(&dated, "D:20260302") > 0);
    for date in ["", "soon", "2026-13-01", "2026-3-2"] {
        let mut undated = sample::drawing();
        undated.about.date = date.into();
        let bytes = pdf(&[undated]).unwrap();
        assert_eq!(count(&bytes, "pdfaid:part") + count(&bytes, "CreationDate"), 0, "{date}");
    }
}

#[test]
fn what_cannot_be_a_page_is_refused() {
    assert_eq!(pdf(&[]), Err(PdfError::NoSheet));
    for width in [0.0, -1.0, f64::NAN] {
        let mut flat = sample::drawing();
        flat.width = width;
        assert!(matches!(pdf(&[flat]), Err(PdfError::PageSize { .. })), "{width}");
    }
}
