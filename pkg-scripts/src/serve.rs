//! A static file server for the page, on this machine only. It keeps a log, which the browser tests read.

use anyhow::{Context, Result, bail};
use axum::Router;
use axum::extract::{Request, State};
use axum::http::HeaderValue;
use axum::http::header::{CACHE_CONTROL, CONTENT_SECURITY_POLICY, X_CONTENT_TYPE_OPTIONS};
use axum::middleware::{Next, from_fn_with_state};
use axum::response::Response;
use std::net::Ipv4Addr;
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};
use tokio::net::TcpListener;
use tokio::task::JoinHandle;
use tower_http::services::ServeDir;

/// What the page may do: load its own files, run its own module, and nothing else.
pub const POLICY: &str = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; \
    img-src 'self' blob: data:; connect-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'none'";

/// How many ports after the wanted one are tried.
const PORTS_TRIED: u16 = 20;

/// One request as it came in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Asked {
    /// `GET`, `HEAD`, ...
    pub method: String,
    /// Path and query.
    pub path: String,
    /// Status of the answer.
    pub status: u16,
}

type Log = Arc<Mutex<Vec<Asked>>>;

/// A running server; it stops when this is dropped.
#[derive(Debug)]
pub struct Server {
    /// Address of the page, with a slash at the end.
    pub url: String,
    log: Log,
    task: JoinHandle<()>,
}

impl Server {
    /// Serves a folder on the first free port from `port` on; port 0 takes any.
    ///
    /// # Errors
    /// No port is free.
    pub async fn start(folder: &Path, port: u16) -> Result<Server> {
        Server::serve(folder, port, Some(POLICY)).await
    }

    /// Serves a folder as hosts do that send no policy, on any free port.
    ///
    /// # Errors
    /// No port is free.
    pub async fn plain(folder: &Path) -> Result<Server> {
        Server::serve(folder, 0, None).await
    }

    async fn serve(folder: &Path, port: u16, policy: Option<&'static str>) -> Result<Server> {
        let listener = listen(port).await?;
        let url = format!("http://{}/", listener.local_addr()?);
        let log = Log::default();
        let rule = Rule { log: Arc::clone(&log), policy };
        let app = Router::new().fallback_service(ServeDir::new(folder)).layer(from_fn_with_state(rule, answer));
        let task = tokio::spawn(async move {
            if let Err(error) = axum::serve(listener, app).await {
                eprintln!("the server stopped: {error}");
            }
        });
        Ok(Server { url, log, task })
    }

    /// Runs until the program is stopped.
    ///
    /// # Errors
    /// The server ended by itself.
    pub async fn forever(mut self) -> Result<()> {
        (&mut self.task).await.context("the server stopped")
    }

    /// The requests so far, in the order their answers went out.
    pub fn asked(&self) -> Vec<Asked> {
        self.log.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Forgets the requests so far.
    pub fn forget(&self) {
        self.log.lock().unwrap_or_else(PoisonError::into_inner).clear();
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        self.task.abort();
    }
}

async fn listen(port: u16) -> Result<TcpListener> {
    for port in port..=port.saturating_add(PORTS_TRIED) {
        if let Ok(listener) = TcpListener::bind((Ipv4Addr::LOCALHOST, port)).await {
            return Ok(listener);
        }
    }
    bail!("ports {port} to {} of 127.0.0.1 are taken; choose another with --port", port.saturating_add(PORTS_TRIED))
}

/// What is done with every answer.
#[derive(Clone)]
struct Rule {
    log: Log,
    policy: Option<&'static str>,
}

async fn answer(State(Rule { log, policy }): State<Rule>, request: Request, next: Next) -> Response {
    let method = request.method().to_string();
    let path = request.uri().to_string();
    let mut response = next.run(request).await;
    let fixed = [(CACHE_CONTROL, "no-cache"), (X_CONTENT_TYPE_OPTIONS, "nosniff")];
    for (name, value) in fixed.into_iter().chain(policy.map(|policy| (CONTENT_SECURITY_POLICY, policy))) {
        response.headers_mut().insert(name, HeaderValue::from_static(value));
    }
    let status = response.status().as_u16();
    log.lock().unwrap_or_else(PoisonError::into_inner).push(Asked { method, path, status });
    response
}
