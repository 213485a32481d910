//! The local page: routes, assets, nothing else. What it answers comes from the same functions as the command line's files, byte for byte.
//!
//! | route | answers |
//! | --- | --- |
//! | `GET /`, `GET /page/…` | the page and its parts, compiled in |
//! | `GET /schema.json`, `GET /templates.json` | what the form is made from, and the starting orders |
//! | `POST /draw/LOOK[/N]` | an order's problems, or its findings and one drawing: sheet N, `section`, `side-a`, `side-b`, `face`, `pictorial`, `calculation` |
//! | `POST /draw/LOOK/N/of/NAME` | the same of an order of the folder, with the approvals that lie beside it |
//! | `POST /view/LOOK` | one view at once, without numbers and rules: for every letter that is typed |
//! | `POST /sheets/LOOK[/of/NAME]` | the same with all sheets of it, to be printed |
//! | `POST /solid` | the finished wheel as a mesh (glb), with its blank, to be turned on the screen |
//! | `POST /solid/tension` | tension all over its section, for its colours |
//! | `POST /figures` | an order's calculation, wear, groove counts and recess as numbers |
//! | `GET /folder`, `GET /folder/NAME`, `POST /folder` | the orders of the folder the page works in, one of them, saving one in place |
//! | `GET /machines` | the cards of the customers' machines in the shop's folder |
//! | `POST /blanks`, `POST /blanks/take` | stock wheels an order can be made of; the order with one as its blank |
//! | `POST /quote`, `POST /quote/sheet` | time and price, as JSON or as a sheet |
//! | `POST /approve` | the customer's approval, recorded or withdrawn |
//! | `POST /repeat` | a new order that repeats one |
//! | `POST /compare/LOOK` | two states of an order beside each other |
//! | `POST /pack/list`, `/pack/zip`, `/pack/file/NAME`, `/pack/put` | what `pack` writes: the list, all of it, one file, into the shop's folder |
//!
//! The body of `draw` and `figures` is the order file as typed; others carry it with what else is asked. No file is read or written but in the
//! [`folder`] and by what the command line has [`lent`]. [`guard`] says who is let in, [`connections`] how many and how long, [`work`] how much is done at a time,
//! [`burden`] what is too much.

mod answer;
mod approving;
mod assets;
mod burden;
mod comparing;
mod connections;
mod figures;
mod folder;
mod guard;
mod lent;
mod offer;
mod packing;
mod repeating;
mod reply;
mod solid;
mod spoken;
mod work;

use crate::front::Shop;
use axum::Router;
use axum::extract::{Request, State};
use axum::middleware::from_fn_with_state;
use axum::response::Response;
use axum::routing::{get, post};
use reply::{Named, Refusal};
use std::net::TcpListener;
use std::sync::Arc;
use std::time::Duration;
use work::Gate;

pub use folder::Folder;
pub use lent::{Deed, Lent, ShopFile};

/// How long answers under way may still take once the page is asked to stop.
const FAREWELL: Duration = Duration::from_secs(5);
/// Stack of a thread that draws, bytes: that of a main thread, since the command line draws on one.
pub const STACK: usize = 8 << 20;

/// What every answer needs.
#[derive(Debug)]
struct Door {
    shop: Arc<Shop>,
    gate: Gate,
    folder: Option<Arc<Folder>>,
    lent: Arc<dyn Lent>,
    /// The names the page may be called by.
    hosts: [String; 2],
}

/// Serves the page until the process is asked to stop; with a folder it works on the orders in that.
///
/// # Errors
/// Where the listener cannot be used.
pub fn serve(listener: TcpListener, shop: Shop, folder: Option<Folder>, lent: Arc<dyn Lent>) -> std::io::Result<()> {
    let port = listener.local_addr()?.port();
    listener.set_nonblocking(true)?;
    let runtime =
        tokio::runtime::Builder::new_multi_thread().worker_threads(2).thread_stack_size(STACK).enable_all().build()?;
    let served = runtime.block_on(async {
        let listener = tokio::net::TcpListener::from_std(listener)?;
        let server = connections::serve(listener, router(shop, port, folder, lent), stop_asked());
        let late = async {
            stop_asked().await;
            tokio::time::sleep(FAREWELL).await;
        };
        tokio::select! {
            () = server => {}
            () = late => {}
        }
        Ok(())
    });
    // whatever still computes answers nobody any more
    runtime.shutdown_background();
    served
}

/// Ends with Ctrl-C or a request to end.
async fn stop_asked() {
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        if let Ok(mut ended) = signal(SignalKind::terminate()) {
            tokio::select! {
                _ = tokio::signal::ctrl_c() => {}
                _ = ended.recv() => {}
            }
            return;
        }
    }
    // where no signal can be heard the process can only be ended from outside
    if tokio::signal::ctrl_c().await.is_err() {
        std::future::pending::<()>().await;
    }
}

/// The page as served on a port of the loopback, for whoever asks it without a socket. It needs a runtime with a clock.
pub fn router(shop: Shop, port: u16, folder: Option<Folder>, lent: Arc<dyn Lent>) -> Router {
    let hosts = [format!("127.0.0.1:{port}"), format!("localhost:{port}")];
    let door = Arc::new(Door { shop: Arc::new(shop), gate: Gate::new(), folder: folder.map(Arc::new), lent, hosts });
    Router::new()
        .route("/", get(assets::page))
        .route("/page/{name}", get(assets::part))
        .route("/schema.json", get(assets::schema))
        .route("/templates.json", get(assets::templates))
        .route("/draw/{look}", post(draw_first))
        .route("/draw/{look}/{number}", post(draw_alone))
        .route("/draw/{look}/{number}/of/{file}", post(draw))
        .route("/view/{look}", post(view))
        .route("/sheets/{look}", post(sheets_alone))
        .route("/sheets/{look}/of/{file}", post(sheets))
        .route("/solid", post(solid_shown))
        .route("/solid/tension", post(solid_tension))
        .route("/figures", post(figures))
        .route("/folder", get(folder_list).post(folder_save))
        .route("/folder/{name}", get(folder_open))
        .route("/machines", get(machines))
        .route("/blanks", post(blanks))
        .route("/blanks/take", post(take))
        .route("/quote", post(quote))
        .route("/quote/sheet", post(quote_sheet))
        .route("/approve", post(approve))
        .route("/repeat", post(repeat))
        .route("/compare/{look}", post(compare))
        .route("/pack/put", post(pack_put))
        .route("/pack/list", post(pack_list))
        .route("/pack/zip", post(pack_zip))
        .route("/pack/file/{name}", post(pack_file))
        .fallback(|| async { Refusal::unknown() })
        .method_not_allowed_fallback(|| async { Refusal::method() })
        .layer(from_fn_with_state(Arc::clone(&door), guard::guarded))
        .with_state(door)
}

type Answered = Result<Response, Refusal>;

async fn draw_first(door: State<Arc<Door>>, Named(look): Named<String>, request: Request) -> Answered {
    draw_any(door, &look, 1, None, request).await
}

async fn draw_alone(door: State<Arc<Door>>, Named((look, number)): Named<(String, usize)>, request: Request) -> Answered {
    draw_any(door, &look, number, None, request).await
}

async fn draw(
    door: State<Arc<Door>>,
    Named((look, number, file)): Named<(String, usize, String)>,
    request: Request,
) -> Answered {
    draw_any(door, &look, number, Some(file), request).await
}

async fn draw_any(
    State(door): State<Arc<Door>>,
    look: &str,
    number: usize,
    file: Option<String>,
    request: Request,
) -> Answered {
    let look = answer::What::named(look, number).ok_or_else(Refusal::unknown)?;
    let order = guard::body(request).await?;
    let record = door.record(file);
    door.answer(move |shop| reply::json(&answer::drawn(&order, look, shop, record.as_deref()))).await
}

async fn view(State(door): State<Arc<Door>>, Named(look): Named<String>, request: Request) -> Answered {
    let look = answer::What::view(&look).ok_or_else(Refusal::unknown)?;
    let order = guard::body(request).await?;
    door.answer(move |shop| reply::json(&answer::at_once(&order, look, shop))).await
}

async fn sheets_alone(door: State<Arc<Door>>, Named(look): Named<String>, request: Request) -> Answered {
    sheets_any(door, &look, None, request).await
}

async fn sheets(door: State<Arc<Door>>, Named((look, file)): Named<(String, String)>, request: Request) -> Answered {
    sheets_any(door, &look, Some(file), request).await
}

async fn sheets_any(State(door): State<Arc<Door>>, look: &str, file: Option<String>, request: Request) -> Answered {
    let look = answer::What::named(look, 1).ok_or_else(Refusal::unknown)?;
    let order = guard::body(request).await?;
    let record = door.record(file);
    door.answer(move |shop| reply::json(&answer::all_drawn(&order, look, shop, record.as_deref()))).await
}

async fn solid_shown(State(door): State<Arc<Door>>, request: Request) -> Answered {
    let order = guard::body(request).await?;
    door.lend(move |_, _, shop| solid::of(&order, shop)).await
}

async fn solid_tension(State(door): State<Arc<Door>>, request: Request) -> Answered {
    let order = guard::body(request).await?;
    door.lend(move |_, _, shop| reply::json(&solid::tension(&order, shop))).await
}

async fn figures(State(door): State<Arc<Door>>, request: Request) -> Answered {
    let order = guard::body(request).await?;
    door.answer(move |shop| reply::json(&figures::of(&order, shop))).await
}

async fn machines(State(door): State<Arc<Door>>) -> Answered {
    door.lend(|lent, _, _| offer::machines(lent)).await
}

async fn blanks(State(door): State<Arc<Door>>, request: Request) -> Answered {
    let body = guard::body(request).await?;
    door.lend(move |lent, _, shop| offer::blanks(&body, lent, shop)).await
}

async fn take(State(door): State<Arc<Door>>, request: Request) -> Answered {
    let body = guard::body(request).await?;
    door.lend(move |lent, _, shop| offer::take(&body, lent, shop)).await
}

async fn quote(State(door): State<Arc<Door>>, request: Request) -> Answered {
    let body = guard::body(request).await?;
    door.lend(move |lent, _, shop| offer::price(&body, lent, shop)).await
}

async fn quote_sheet(State(door): State<Arc<Door>>, request: Request) -> Answered {
    let body = guard::body(request).await?;
    door.lend(move |lent, _, shop| offer::sheet(&body, lent, shop)).await
}

async fn approve(State(door): State<Arc<Door>>, request: Request) -> Answered {
    let body = guard::body(request).await?;
    door.lend(move |lent, folder, shop| approving::approve(&body, folder, lent, shop)).await
}

async fn repeat(State(door): State<Arc<Door>>, request: Request) -> Answered {
    let body = guard::body(request).await?;
    door.lend(move |_, _, shop| repeating::repeated(&body, shop)).await
}

async fn compare(State(door): State<Arc<Door>>, Named(look): Named<String>, request: Request) -> Answered {
    let body = guard::body(request).await?;
    door.lend(move |_, _, shop| comparing::compared(&body, &look, shop)).await
}

async fn pack_list(State(door): State<Arc<Door>>, request: Request) -> Answered {
    let body = guard::body(request).await?;
    door.lend(move |_, folder, shop| packing::list(&body, shop, folder)).await
}

async fn pack_zip(State(door): State<Arc<Door>>, request: Request) -> Answered {
    let body = guard::body(request).await?;
    door.lend(move |_, folder, shop| packing::zip(&body, shop, folder)).await
}

async fn pack_put(State(door): State<Arc<Door>>, request: Request) -> Answered {
    let body = guard::body(request).await?;
    door.lend(move |lent, folder, shop| packing::put(&body, shop, folder, lent)).await
}

async fn pack_file(State(door): State<Arc<Door>>, Named(name): Named<String>, request: Request) -> Answered {
    let body = guard::body(request).await?;
    door.lend(move |_, folder, shop| packing::file(&body, &name, shop, folder)).await
}

async fn folder_list(State(door): State<Arc<Door>>) -> Answered {
    door.in_folder(|folder, shop| reply::json(&folder.list(shop))).await
}

async fn folder_open(State(door): State<Arc<Door>>, Named(name): Named<String>) -> Answered {
    door.in_folder(move |folder, _| folder.open(&name)).await
}

async fn folder_save(State(door): State<Arc<Door>>, request: Request) -> Answered {
    let body = guard::body(request).await?;
    door.in_folder(move |folder, _| folder.save(&body)).await
}

impl Door {
    /// Works out an answer where it holds nobody else up.
    async fn answer(&self, work: impl FnOnce(&Shop) -> Response + Send + 'static) -> Answered {
        let shop = Arc::clone(&self.shop);
        self.gate.through(move || work(&shop)).await
    }

    /// The same for what can wait until drawings are made (packs, solids), with the folder and what the command line has lent.
    async fn lend(&self, work: impl FnOnce(&dyn Lent, Option<&Folder>, &Shop) -> Response + Send + 'static) -> Answered {
        let (shop, lent, folder) = (Arc::clone(&self.shop), Arc::clone(&self.lent), self.folder.clone());
        self.gate.later(move || work(&*lent, folder.as_deref(), &shop)).await
    }

    /// The approvals beside an order of the folder. One that cannot be read approves nothing: the answer then says why.
    fn record(&self, file: Option<String>) -> Option<String> {
        let (folder, file) = self.folder.as_ref().zip(file)?;
        folder.record(&file).unwrap_or_else(Some)
    }

    /// The same with the folder; without one there is nothing of that name.
    async fn in_folder(&self, work: impl FnOnce(&Folder, &Shop) -> Response + Send + 'static) -> Answered {
        let folder = Arc::clone(self.folder.as_ref().ok_or_else(Refusal::unknown)?);
        self.answer(move |shop| work(&folder, shop)).await
    }
}
