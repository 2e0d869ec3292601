//! Starting and ending the drivers, and what they need on the machine.

use anyhow::{Context, Result, bail, ensure};
use serde_json::{Map, Value, json};
use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// How long a driver or a display server may take to start on a busy machine.
const START_LIMIT: Duration = Duration::from_secs(60);

/// The categories of a trace that have a thread's tasks, and the marks that pages make.
const TRACED: &str = "toplevel,blink.user_timing";

/// A browser engine that the page is tried in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Engine {
    /// Blink: Chrome, Edge and others.
    Chromium,
    /// Gecko: Firefox.
    Firefox,
    /// WebKit: Safari and, here, the GTK port.
    WebKit,
}

/// What an engine needs and this machine has not.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Missing {
    /// Debian packages.
    pub packages: Vec<&'static str>,
    /// Programs to be had by `cargo install`.
    pub crates: Vec<&'static str>,
}

impl Missing {
    /// Is nothing missing?
    pub fn nothing(&self) -> bool {
        self.packages.is_empty() && self.crates.is_empty()
    }
}

impl Engine {
    /// All engines.
    pub const ALL: [Engine; 3] = [Engine::Chromium, Engine::Firefox, Engine::WebKit];

    /// Name in options and reports.
    pub fn name(self) -> &'static str {
        match self {
            Engine::Chromium => "chromium",
            Engine::Firefox => "firefox",
            Engine::WebKit => "webkit",
        }
    }

    /// What has to be installed before the engine can start.
    pub fn missing(self) -> Missing {
        let lacks = |found: Option<PathBuf>, package| found.is_none().then_some(package);
        let packages = match self {
            Engine::Chromium => {
                vec![lacks(program("chromium"), "chromium"), lacks(program("chromedriver"), "chromium-driver")]
            }
            Engine::Firefox => vec![lacks(program("firefox"), "firefox-esr")],
            Engine::WebKit => vec![
                lacks(program("WebKitWebDriver").and_then(|_| mini_browser()), "webkit2gtk-driver"),
                lacks(program("Xvfb"), "xvfb"),
            ],
        };
        let crates = match self {
            Engine::Firefox => vec![lacks(program("geckodriver"), "geckodriver")],
            Engine::Chromium | Engine::WebKit => Vec::new(),
        };
        Missing { packages: packages.into_iter().flatten().collect(), crates: crates.into_iter().flatten().collect() }
    }

    fn driver(self) -> &'static str {
        match self {
            Engine::Chromium => "chromedriver",
            Engine::Firefox => "geckodriver",
            Engine::WebKit => "WebKitWebDriver",
        }
    }

    /// Capabilities of a new session with a profile, empty the first time.
    pub(super) fn capabilities(self, profile: &Path, setup: Setup) -> Result<Map<String, Value>> {
        let wanted = match self {
            Engine::Chromium => chromium_capabilities(profile, setup),
            Engine::Firefox => {
                let folder = profile.join("firefox");
                std::fs::create_dir_all(&folder)?;
                let args = json!(["-headless", "-profile", folder]);
                let settings = if setup == Setup::Forced { own_colours() } else { json!({}) };
                json!({ "moz:firefoxOptions": { "binary": program("firefox"), "args": args, "prefs": settings } })
            }
            Engine::WebKit => {
                json!({ "webkitgtk:browserOptions": { "binary": mini_browser(), "args": ["--automation"] } })
            }
        };
        match wanted {
            Value::Object(map) => Ok(map),
            _ => bail!("capabilities are an object"),
        }
    }
}

/// What a session is started for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Setup {
    /// To see what a visitor sees.
    Plain,
    /// With the colours of a user who asks for their own (Firefox alone takes them at the start).
    Forced,
    /// To write down every task of every thread (Chromium alone).
    Traced,
}

/// Tracing comes with the driver's log of performance, which holds nothing else here.
fn chromium_capabilities(profile: &Path, setup: Setup) -> Value {
    let mut options = json!({ "binary": program("chromium"), "args": chromium_arguments(profile) });
    let mut log = json!({ "browser": "ALL" });
    if setup == Setup::Traced {
        options["perfLoggingPrefs"] = json!({ "enableNetwork": false, "enablePage": false, "traceCategories": TRACED });
        log["performance"] = json!("ALL");
    }
    json!({ "goog:chromeOptions": options, "goog:loggingPrefs": log })
}

/// What Firefox writes when a user chooses "override the colours of pages: always" and a contrast of their own.
fn own_colours() -> Value {
    json!({
        "browser.display.document_color_use": 2,
        "browser.display.use_system_colors": false,
        "browser.display.background_color": "#000000",
        "browser.display.foreground_color": "#ffffff",
        "browser.anchor_color": "#ffff00",
        "browser.visited_color": "#ffff00",
    })
}

/// Flags that keep Chromium from drawing on a graphics card it has not, and from calling home.
fn chromium_arguments(profile: &Path) -> Vec<String> {
    let mut arguments: Vec<String> = [
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        "--disable-quic",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--window-size=1280,900",
    ]
    .map(String::from)
    .into();
    arguments.push(format!("--user-data-dir={}", profile.display()));
    arguments
}

/// Finds a program on the path, or where cargo installs programs.
pub(crate) fn program(name: &str) -> Option<PathBuf> {
    let path = std::env::var_os("PATH").unwrap_or_default();
    let cargo_home = std::env::var_os("CARGO_HOME").map(PathBuf::from);
    let cargo = cargo_home.or_else(|| Some(std::env::home_dir()?.join(".cargo"))).map(|home| home.join("bin"));
    std::env::split_paths(&path).chain(cargo).map(|folder| folder.join(name)).find(|file| file.is_file())
}

/// The GTK port's browser for tests lies in a folder that names machine type and version.
fn mini_browser() -> Option<PathBuf> {
    let folders = std::fs::read_dir("/usr/lib").ok()?;
    let inside = folders.flatten().flat_map(|folder| {
        ["webkitgtk-6.0", "webkit2gtk-4.1", "webkit2gtk-4.0"].map(|version| folder.path().join(version))
    });
    inside.map(|folder| folder.join("MiniBrowser")).find(|file| file.is_file())
}

/// A program that ends, with all it started, when this is dropped.
#[derive(Debug)]
struct Running(Child);

impl Running {
    fn start(command: &mut Command) -> Result<Self> {
        #[cfg(unix)]
        std::os::unix::process::CommandExt::process_group(command, 0);
        let shown = crate::project::show(command);
        Ok(Running(command.spawn().with_context(|| format!("cannot start `{shown}`"))?))
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        // The browser is a child of the driver: it goes with the driver's process group.
        let group = format!("-{}", self.0.id());
        let _ = Command::new("kill").args(["-TERM", "--", &group]).stderr(Stdio::null()).status();
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// A driver, its display and its profile; all end with it.
#[derive(Debug)]
pub(super) struct Driver {
    /// Address of the driver.
    pub(super) url: String,
    /// Folder for the browser's own files.
    pub(super) profile: tempfile::TempDir,
    // Dropped in this order: first the driver, then the display it draws on.
    _driver: Running,
    _display: Option<Running>,
}

impl Driver {
    pub(super) fn start(engine: Engine) -> Result<Driver> {
        let profile = tempfile::tempdir()?;
        let mut command = command(engine, profile.path())?;
        let display = match engine {
            Engine::WebKit => Some(display(&mut command)?),
            Engine::Chromium | Engine::Firefox => None,
        };
        let (url, driver) = answering(engine, command)?;
        Ok(Driver { url, profile, _driver: driver, _display: display })
    }

    /// Kills the browser, as a crash or an empty battery does, and starts another driver for the same profile.
    ///
    /// # Errors
    /// The browser's processes are not found or do not end.
    pub(super) fn kill_browser(&mut self, engine: Engine) -> Result<()> {
        kill(self.profile.path())?;
        let (url, driver) = answering(engine, command(engine, self.profile.path())?)?;
        (self.url, self._driver) = (url, driver);
        Ok(())
    }
}

/// Browsers keep caches and settings in the home folder; tests leave no traces there.
fn command(engine: Engine, profile: &Path) -> Result<Command> {
    let path = program(engine.driver()).with_context(|| format!("{} is not installed", engine.driver()))?;
    let mut command = Command::new(path);
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    command.env("HOME", profile).env("XDG_RUNTIME_DIR", profile).env("TMPDIR", profile);
    Ok(command)
}

/// Starts a driver; gives its address once it answers.
fn answering(engine: Engine, mut command: Command) -> Result<(String, Running)> {
    let port = free_port()?;
    let driver = Running::start(command.arg(format!("--port={port}")))?;
    wait_for_port(port, engine.driver())?;
    Ok((format!("http://127.0.0.1:{port}"), driver))
}

/// Kills the browser of a profile and waits until it is gone.
fn kill(profile: &Path) -> Result<()> {
    let found = processes(profile);
    ensure!(!found.is_empty(), "no browser of {} runs", profile.display());
    let start = Instant::now();
    while start.elapsed() < START_LIMIT {
        let left = processes(profile);
        if left.is_empty() {
            return Ok(());
        }
        let _ = Command::new("kill").arg("-KILL").args(&left).stderr(Stdio::null()).status();
        std::thread::sleep(Duration::from_millis(20));
    }
    bail!("the browser did not end within {} s", START_LIMIT.as_secs())
}

/// Numbers of the processes that were started with a folder of the profile.
fn processes(profile: &Path) -> Vec<String> {
    let profile = profile.display().to_string();
    let of = |number: String| {
        let line = std::fs::read(format!("/proc/{number}/cmdline")).ok()?;
        String::from_utf8_lossy(&line).contains(&profile).then_some(number)
    };
    let entries = std::fs::read_dir("/proc").into_iter().flatten().flatten();
    let names = entries.map(|entry| entry.file_name().to_string_lossy().into_owned());
    names.filter(|name| name.bytes().all(|byte| byte.is_ascii_digit())).filter_map(of).collect()
}

/// Starts a display that nobody sees and points the command at it.
fn display(command: &mut Command) -> Result<Running> {
    let mut server = Command::new("Xvfb");
    server.args(["-displayfd", "1", "-screen", "0", "1600x1200x24", "-nolisten", "tcp"]);
    server.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::null());
    let mut server = Running::start(&mut server)?;
    let output = server.0.stdout.take().context("Xvfb has no output")?;
    let mut line = String::new();
    std::io::BufRead::read_line(&mut std::io::BufReader::new(output), &mut line)?;
    if line.trim().is_empty() {
        bail!("Xvfb did not start");
    }
    command.env("DISPLAY", format!(":{}", line.trim())).env("GDK_BACKEND", "x11");
    command.env("LIBGL_ALWAYS_SOFTWARE", "1").env("NO_AT_BRIDGE", "1");
    Ok(server)
}

fn free_port() -> Result<u16> {
    Ok(TcpListener::bind((Ipv4Addr::LOCALHOST, 0))?.local_addr()?.port())
}

fn wait_for_port(port: u16, name: &str) -> Result<()> {
    let start = Instant::now();
    while start.elapsed() < START_LIMIT {
        if TcpStream::connect((Ipv4Addr::LOCALHOST, port)).is_ok() {
            return Ok(());
        }
        std::thread::sleep(Duration::from_millis(50));
    }
    bail!("{name} did not answer within {} s", START_LIMIT.as_secs())
}
