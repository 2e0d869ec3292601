//! Which requests the page makes: its own files and what its markup names, and nothing once it has loaded.

use crate::project::www;
use crate::serve::Asked;
use anyhow::{Result, ensure};

/// Requests of a page that has loaded: GETs of files of the package that were there.
///
/// # Errors
/// Another request.
pub(super) fn only_own_files(asked: &[Asked]) -> Result<()> {
    ensure!(asked.len() > 5, "only {} requests: the page did not load", asked.len());
    for request in asked {
        let (path, query) = request.path.split_once('?').unwrap_or((&request.path, ""));
        let file = if path == "/" { "index.html" } else { path.trim_start_matches('/') };
        // 304: asked again, as the answer's headers want it, and still the same.
        let there = [200, 304].contains(&request.status) && www().join(file).is_file();
        let good = request.method == "GET" && query.is_empty() && there;
        ensure!(good, "unexpected request {request:?}");
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
        assert!(none_since(&[]).is_ok() && none_since(&six).is_err());
    }
}
