//! The shape of the source tree: who may import whom, how long files are, what head comments say.

mod circles;
mod dependencies;
mod figures;
mod layers;
mod read;
mod table;
mod tree;

use std::fs;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// Every Rust file under a folder of the project, as its path below that folder and its text, sorted.
fn files(folder: &str) -> Vec<(String, String)> {
    fn walk(at: &Path, base: &Path, all: &mut Vec<(String, String)>) {
        for entry in fs::read_dir(at).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(&path, base, all);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let name = path.strip_prefix(base).unwrap().to_string_lossy().replace('\\', "/");
                all.push((name, fs::read_to_string(&path).unwrap()));
            }
        }
    }
    let base = root().join(folder);
    let mut all = Vec::new();
    walk(&base, &base, &mut all);
    all.sort();
    all
}
