//! Which requests the page makes: the files of a first visit, once something has to be computed the engine and what the
//! markup names, and nothing after that.

use crate::pack::{ENGINE_FILES, LATER_FILES, is_of_first_visit};
use crate::project::www;
use crate::serve::Asked;
use anyhow::{Result, ensure};

/// Requests of a page that has loaded: GETs of the files of a first visit, of the prepared answer, and of what tells its story.
///
/// # Errors
/// Another request.
pub(super) fn only_own_files(asked: &[Asked]) -> Result<()> {
    ensure!(asked.len() > 5, "only {} requests: the page did not load", asked.len());
    let unexpected = asked.iter().find(|request| {
        !own_file(request)
            .is_some_and(|file| is_of_first_visit(file) || file == "demo/opening.json" || LATER_FILES.contains(&file))
    });
    ensure!(unexpected.is_none(), "unexpected request {unexpected:?}");
    Ok(())
}

/// The file of the package that a request gets, without sending anything along.
fn own_file(request: &Asked) -> Option<&str> {
    let file = if request.path == "/" { "index.html" } else { request.path.trim_start_matches('/') };
    // 304: asked again, as the answer's headers want it, and still the same.
    let there = [200, 304].contains(&request.status) && www().join(file).is_file();
    (request.method == "GET" && there).then_some(file)
}

/// Requests when something is computed for the first time: the engine, and the files that the markup names, each once.
///
/// # Errors
/// Another request, or no engine.
pub(super) fn only_engine(asked: &[Asked], named: &[String]) -> Result<()> {
    let expected = |file: &str| ENGINE_FILES.contains(&file) || named.iter().any(|name| name == file);
    let unexpected = asked.iter().find(|request| !own_file(request).is_some_and(expected));
    ensure!(unexpected.is_none(), "unexpected request {unexpected:?}");
    for file in ENGINE_FILES {
        let times = asked.iter().filter(|request| own_file(request) == Some(file)).count();
        ensure!(times == 1, "{file} was asked for {times} times");
    }
    Ok(())
}

/// # Errors
/// A request after the page had loaded.
pub(super) fn none_since(asked: &[Asked]) -> Result<()> {
    ensure!(asked.is_empty(), "requests after loading: {asked:?}");
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn other_requests_are_told() {
        let request = |method: &str, path: &str, status| Asked { method: method.into(), path: path.into(), status };
        let own = request("GET", "/text/en.json", 200);
        let six = vec![own; 6];
        let with = |extra: Asked| only_own_files(&[six.clone(), vec![extra]].concat());
        assert!(only_own_files(&six).is_ok());
        assert!(only_own_files(&six[..2]).is_err());
        assert!(with(request("POST", "/text/en.json", 200)).is_err());
        assert!(with(request("GET", "/text/en.json?student=1", 200)).is_err());
        assert!(with(request("GET", "/favicon.ico", 404)).is_err());
        assert!(with(request("GET", "/worker.js", 200)).is_err());
        assert!(with(request("GET", "/demo/reference-a.c3d", 200)).is_err());
        let engine = ENGINE_FILES.map(|file| request("GET", &format!("/{file}"), 200)).to_vec();
        let named = ["demo/reference-a.c3d".to_owned()];
        let and = |more: &str| only_engine(&[engine.clone(), vec![request("GET", more, 200)]].concat(), &named);
        // The modules are there only once the page is built.
        if www().join(ENGINE_FILES[2]).is_file() {
            assert!(only_engine(&engine, &[]).is_ok() && and("/demo/reference-a.c3d").is_ok());
        }
        assert!(only_engine(&engine[1..], &[]).is_err() && and("/worker.js").is_err());
        assert!(and("/demo/reference-b.trc").is_err() && and("/text/en.json").is_err());
        assert!(none_since(&[]).is_ok() && none_since(&six).is_err());
    }
}
