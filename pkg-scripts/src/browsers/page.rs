//! One open browser: what a person does in it, and what they see.

use super::driver::{Driver, Engine, Setup};
use super::trace::{self, Task};
use anyhow::{Context, Result, bail, ensure};
use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use fantoccini::actions::{InputSource, KeyAction, KeyActions};
use fantoccini::elements::{Element, ElementRef};
use fantoccini::wd::WebDriverCompatibleCommand;
use fantoccini::{Client, ClientBuilder};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};
use std::path::Path;
use std::time::{Duration, Instant};

/// How often a condition is looked at.
const LOOK_EVERY: Duration = Duration::from_millis(50);

/// Finds an element through shadow roots: `outer >>> inner` looks for `inner` inside the shadow root of `outer`.
const DEEP: &str = "const deep = path => path.split('>>>').reduce(
    (at, part) => at && (at.shadowRoot ?? at).querySelector(part.trim()), document);
";

/// Writes down what goes wrong in the page from now on.
const LISTEN: &str = "window.faults = [];
addEventListener('error', event => faults.push(String(event.message)));
addEventListener('unhandledrejection', event => faults.push(String(event.reason)));
addEventListener('securitypolicyviolation', event => faults.push(`policy: ${event.violatedDirective} ${event.blockedURI}`));";

const DROP: &str = "const [path, files] = arguments;
const target = deep(path);
if (!target) throw new Error(`nothing at ${path}`);
const transfer = new DataTransfer();
for (const {name, base64} of files) {
    const bytes = Uint8Array.from(atob(base64), letter => letter.charCodeAt(0));
    transfer.items.add(new File([bytes], name));
}
for (const kind of ['dragenter', 'dragover', 'drop']) {
    const event = new DragEvent(kind, {bubbles: true, composed: true, cancelable: true, dataTransfer: transfer});
    // An engine that ignores the member of the constructor still lets it be laid over.
    if (!event.dataTransfer?.files?.length) Object.defineProperty(event, 'dataTransfer', {value: transfer});
    target.dispatchEvent(event);
}";

const COLOURS: &str = "const canvas = deep(arguments[0]);
if (!canvas?.width || !canvas?.height) return 0;
const pixels = new Uint32Array(canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height).data.buffer);
return new Set(pixels).size;";

/// Colours the page is looked at in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scheme {
    /// Dark text on light.
    Light,
    /// Light text on dark.
    Dark,
    /// Few colours, which the system forces on every page.
    Forced,
}

impl Scheme {
    /// Name in options and reports.
    pub fn name(self) -> &'static str {
        match self {
            Scheme::Light => "light",
            Scheme::Dark => "dark",
            Scheme::Forced => "forced",
        }
    }

    /// The media features, by name. Forced colours are those of a dark theme, which a page in its own light colours shows.
    fn features(self) -> Value {
        let (scheme, forced) = match self {
            Scheme::Light => ("light", "none"),
            Scheme::Dark => ("dark", "none"),
            Scheme::Forced => ("dark", "active"),
        };
        json!([{"name": "prefers-color-scheme", "value": scheme}, {"name": "forced-colors", "value": forced}])
    }
}

/// A browser with one window. It ends, with its driver, when this is dropped.
#[derive(Debug)]
pub struct Browser {
    client: Client,
    driver: Driver,
    engine: Engine,
}

impl Browser {
    /// Starts an engine with an empty profile.
    ///
    /// # Errors
    /// Driver or browser did not start.
    pub async fn start(engine: Engine) -> Result<Browser> {
        Browser::begin(engine, Setup::Plain).await
    }

    /// Starts an engine as a user has it who forces colours on every page. WebKit has no such setting.
    ///
    /// # Errors
    /// Driver or browser did not start.
    pub async fn start_forced(engine: Engine) -> Result<Browser> {
        let browser = Browser::begin(engine, Setup::Forced).await?;
        if engine == Engine::Chromium {
            browser.look(1280, 900, Scheme::Forced).await?;
        }
        Ok(browser)
    }

    /// Starts Chromium with a trace, for [`Browser::tasks`].
    ///
    /// # Errors
    /// Driver or browser did not start.
    pub async fn start_traced() -> Result<Browser> {
        Browser::begin(Engine::Chromium, Setup::Traced).await
    }

    async fn begin(engine: Engine, setup: Setup) -> Result<Browser> {
        let driver = Driver::start(engine)?;
        let client = connected(&driver, engine, setup).await?;
        Ok(Browser { client, driver, engine })
    }

    /// Kills the browser, as a crash or an empty battery does, and starts it again with the same profile (not WebKit, whose
    /// profile ends with its session).
    ///
    /// # Errors
    /// It did not end, or did not start again.
    pub async fn kill(&mut self) -> Result<()> {
        ensure!(self.engine != Engine::WebKit, "its profile ends with its session");
        self.driver.kill_browser(self.engine)?;
        self.client = connected(&self.driver, self.engine, Setup::Plain).await?;
        Ok(())
    }

    /// The engine of this browser.
    pub fn engine(&self) -> Engine {
        self.engine
    }

    /// Opens an address and waits for its load event. Faults of the page are kept from then on.
    ///
    /// # Errors
    /// The browser does not answer.
    pub async fn open(&self, url: &str) -> Result<()> {
        self.client.goto(url).await?;
        self.run(LISTEN, vec![]).await?;
        Ok(())
    }

    /// Runs a script (the body of a function of `arguments`) with `deep(path)` at hand; gives what it returns.
    ///
    /// # Errors
    /// The script threw, or the browser does not answer.
    pub async fn run(&self, script: &str, arguments: Vec<Value>) -> Result<Value> {
        let whole = format!("{DEEP}{script}");
        self.client.execute(&whole, arguments).await.with_context(|| format!("in the page: {script}"))
    }

    /// Waits until an expression is true; `what` names it in the error.
    ///
    /// # Errors
    /// It was still false after `limit`.
    pub async fn until(&self, what: &str, expression: &str, limit: Duration) -> Result<()> {
        let start = Instant::now();
        let script = format!("return Boolean({expression});");
        while start.elapsed() < limit {
            if self.run(&script, vec![]).await? == Value::Bool(true) {
                return Ok(());
            }
            tokio::time::sleep(LOOK_EVERY).await;
        }
        bail!("{}: waited {} s for {what}", self.engine.name(), limit.as_secs())
    }

    /// Text of the element at a path through shadow roots.
    ///
    /// # Errors
    /// There is no such element.
    pub async fn text(&self, path: &str) -> Result<String> {
        let text = self.run("return deep(arguments[0])?.textContent ?? null;", vec![json!(path)]).await?;
        text.as_str().map(str::to_owned).with_context(|| format!("nothing at {path}"))
    }

    /// Clicks the element at a path.
    ///
    /// # Errors
    /// There is no such element.
    pub async fn click(&self, path: &str) -> Result<()> {
        self.run("deep(arguments[0]).click();", vec![json!(path)]).await.map(drop)
    }

    /// Sets a form control as a person would: value, then `input` and `change`.
    ///
    /// # Errors
    /// There is no such element.
    pub async fn set(&self, path: &str, value: &str) -> Result<()> {
        let script = "const control = deep(arguments[0]);
            control.value = arguments[1];
            for (const kind of ['input', 'change']) control.dispatchEvent(new Event(kind, {bubbles: true, composed: true}));";
        self.run(script, vec![json!(path), json!(value)]).await.map(drop)
    }

    /// Presses and releases a key per character on what has the focus; keys without a character have the codes of the
    /// WebDriver standard (section 17.4.2).
    ///
    /// # Errors
    /// The browser does not answer.
    pub async fn press(&self, keys: &str) -> Result<()> {
        let press =
            |actions: KeyActions, value: char| actions.then(KeyAction::Down { value }).then(KeyAction::Up { value });
        let actions = keys.chars().fold(KeyActions::new("keys".to_owned()), press);
        Ok(self.client.perform_actions(actions).await?)
    }

    /// Presses keys as `press` does, with another one held down meanwhile.
    ///
    /// # Errors
    /// The browser does not answer.
    pub async fn press_holding(&self, held: char, keys: &str) -> Result<()> {
        let press =
            |actions: KeyActions, value: char| actions.then(KeyAction::Down { value }).then(KeyAction::Up { value });
        let held_down = KeyActions::new("keys".to_owned()).then(KeyAction::Down { value: held });
        let actions = keys.chars().fold(held_down, press).then(KeyAction::Up { value: held });
        Ok(self.client.perform_actions(actions).await?)
    }

    /// Hands a file on this machine to the file field at a path, as choosing it does (WebDriver, section 12.5.3).
    ///
    /// # Errors
    /// There is no such field, or no such file.
    pub async fn choose_file(&self, path: &str, file: &Path) -> Result<()> {
        let found = self.run("return deep(arguments[0]);", vec![json!(path)]).await?;
        let id = found.as_object().and_then(|element| element.values().next()).and_then(Value::as_str);
        let id = ElementRef::from(id.with_context(|| format!("nothing at {path}"))?.to_owned());
        let field = Element::from_element_id(self.client.clone(), id);
        Ok(field.send_keys(file.to_str().context("the name of the file is no text")?).await?)
    }

    /// Drops files, by name and bytes, on the element at a path.
    ///
    /// # Errors
    /// There is no such element.
    pub async fn drop_files(&self, path: &str, files: &[(&str, &[u8])]) -> Result<()> {
        let file = |(name, bytes): &(&str, &[u8])| json!({"name": name, "base64": BASE64_STANDARD.encode(bytes)});
        let files: Vec<Value> = files.iter().map(file).collect();
        self.run(DROP, vec![json!(path), json!(files)]).await.map(drop)
    }

    /// How many colours the canvas at a path shows; a blank one has at most one.
    ///
    /// # Errors
    /// The browser does not answer.
    pub async fn colours(&self, path: &str) -> Result<u64> {
        Ok(self.run(COLOURS, vec![json!(path)]).await?.as_u64().unwrap_or(0))
    }

    /// What went wrong in the page since it was opened: thrown errors and breaches of the policy.
    ///
    /// # Errors
    /// The browser does not answer.
    pub async fn faults(&self) -> Result<Vec<String>> {
        let faults = self.run("return window.faults ?? [];", vec![]).await?;
        let mut faults: Vec<String> = serde_json::from_value(faults)?;
        if self.engine == Engine::Chromium {
            let log = self.client.issue_cmd(Vendor::log("browser")).await?;
            let severe = log.as_array().into_iter().flatten().filter(|entry| entry["level"] == "SEVERE");
            faults.extend(severe.map(|entry| entry["message"].to_string()));
        }
        Ok(faults)
    }

    /// The tasks of the main thread of the page that made a mark (`performance.mark`), in a browser that was started with a
    /// trace; asking ends the trace.
    ///
    /// # Errors
    /// No thread made the mark, or the browser does not answer.
    pub async fn tasks(&self, mark: &str) -> Result<Vec<Task>> {
        let log = self.client.issue_cmd(Vendor::log("performance")).await?;
        let entry = |entry: &Value| serde_json::from_str::<Value>(entry["message"].as_str()?).ok();
        let entries = log.as_array().into_iter().flatten().filter_map(entry);
        let events: Vec<Value> = entries.map(|entry| entry["message"]["params"].clone()).collect();
        trace::tasks(&events, mark).with_context(|| format!("none of {} events is {mark}", events.len()))
    }

    /// The window as a PNG file.
    ///
    /// # Errors
    /// The browser does not answer.
    pub async fn screenshot(&self) -> Result<Vec<u8>> {
        Ok(self.client.screenshot().await?)
    }

    /// The page as printed on paper of this width and height, centimetres: a PDF file (WebDriver, section 18).
    ///
    /// # Errors
    /// The browser does not print, or does not answer.
    pub async fn print(&self, width: f64, height: f64) -> Result<Vec<u8>> {
        let body = json!({"page": {"width": width, "height": height}, "background": true});
        let found = self.client.issue_cmd(Vendor { path: "print", body }).await?;
        Ok(BASE64_STANDARD.decode(found.as_str().context("no PDF")?)?)
    }

    /// Gives the page a width and height in CSS pixels and a colour scheme (Chromium only: the others have no such
    /// command, and windows as narrow as a phone are refused).
    ///
    /// # Errors
    /// The browser is another one or does not answer.
    pub async fn look(&self, width: u32, height: u32, scheme: Scheme) -> Result<()> {
        let size = json!({"width": width, "height": height, "deviceScaleFactor": 1, "mobile": false});
        self.client.issue_cmd(Vendor::devtools("Emulation.setDeviceMetricsOverride", size)).await?;
        let media = json!({"media": "screen", "features": scheme.features()});
        self.client.issue_cmd(Vendor::devtools("Emulation.setEmulatedMedia", media)).await?;
        Ok(())
    }

    /// Sets the size of the window.
    ///
    /// # Errors
    /// The browser does not answer.
    pub async fn resize(&self, width: u32, height: u32) -> Result<()> {
        Ok(self.client.set_window_size(width, height).await?)
    }

    /// Ends the session, then the driver.
    ///
    /// # Errors
    /// The browser does not answer; it is ended all the same.
    pub async fn close(self) -> Result<()> {
        let closed = self.client.close().await;
        drop(self.driver);
        Ok(closed?)
    }
}

async fn connected(driver: &Driver, engine: Engine, setup: Setup) -> Result<Client> {
    let capabilities = engine.capabilities(driver.profile.path(), setup)?;
    let mut builder = ClientBuilder::new(HttpConnector::new());
    let client = builder.capabilities(capabilities).connect(&driver.url).await;
    client.with_context(|| format!("{} did not start", engine.name()))
}

/// A command that the client has no method for: of the standard, or of chromedriver beyond it.
#[derive(Debug)]
struct Vendor {
    path: &'static str,
    body: Value,
}

impl Vendor {
    fn devtools(command: &str, parameters: Value) -> Self {
        Vendor { path: "goog/cdp/execute", body: json!({"cmd": command, "params": parameters}) }
    }

    fn log(kind: &str) -> Self {
        Vendor { path: "se/log", body: json!({"type": kind}) }
    }
}

impl WebDriverCompatibleCommand for Vendor {
    fn endpoint(&self, base_url: &url::Url, session_id: Option<&str>) -> Result<url::Url, url::ParseError> {
        base_url.join(&format!("session/{}/{}", session_id.unwrap_or_default(), self.path))
    }

    fn method_and_body(&self, _: &url::Url) -> (http::Method, Option<String>) {
        (http::Method::POST, Some(self.body.to_string()))
    }
}
