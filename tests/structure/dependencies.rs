//! Dependencies are as `.deny.toml` lets them be: licences, names, sources.

use std::collections::BTreeSet;

const POLICY: &str = include_str!("../../.deny.toml");

struct Package {
    name: String,
    licence: String,
    source: Option<String>,
}

fn packages() -> Vec<Package> {
    // Packages of other platforms were not fetched by building here.
    let rustc = std::process::Command::new("rustc").arg("-vV").output().unwrap();
    let said = String::from_utf8(rustc.stdout).unwrap();
    let host = said.lines().find_map(|l| l.strip_prefix("host: ")).unwrap();
    let mut cargo = std::process::Command::new(env!("CARGO"));
    cargo.args(["metadata", "--format-version", "1", "--locked", "--offline", "--filter-platform", host]);
    let out = cargo.current_dir(env!("CARGO_MANIFEST_DIR")).output().unwrap();
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    let all: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    let text = |v: &serde_json::Value| v.as_str().map(str::to_owned);
    let one = |p: &serde_json::Value| Package {
        name: text(&p["name"]).unwrap(),
        licence: text(&p["license"]).unwrap_or_default(),
        source: text(&p["source"]),
    };
    all["packages"].as_array().unwrap().iter().map(one).collect()
}

/// Whether an SPDX expression leaves a choice that is allowed: `OR` (and the old `/`) before `AND`, one level of brackets.
fn allowed(licence: &str, allow: &BTreeSet<&str>) -> bool {
    let parts = licence.split(" AND ").map(|p| p.trim().trim_matches(['(', ')']));
    !licence.is_empty()
        && parts
            .into_iter()
            .all(|all| all.split(" OR ").flat_map(|p| p.split('/')).any(|one| allow.contains(one.trim())))
}

/// What is against the policy, one line each.
fn against(packages: &[Package], policy: &toml::Table) -> Vec<String> {
    let list = |of: &str, key: &str| policy[of][key].as_array().unwrap().clone();
    let allow = list("licenses", "allow");
    let allow: BTreeSet<&str> = allow.iter().map(|l| l.as_str().unwrap()).collect();
    let banned: Vec<String> =
        list("bans", "deny").iter().map(|d| d["crate"].as_str().unwrap().to_owned()).collect();
    let mut out = Vec::new();
    for p in packages {
        if !allowed(&p.licence, &allow) {
            out.push(format!("{}: licence {:?}", p.name, p.licence));
        }
        if banned.contains(&p.name) {
            out.push(format!("{} is banned", p.name));
        }
        let ours = p.name == env!("CARGO_PKG_NAME");
        if !ours && p.source.as_deref() != Some("registry+https://github.com/rust-lang/crates.io-index") {
            out.push(format!("{}: source {:?}", p.name, p.source));
        }
    }
    out
}

#[test]
fn dependencies_are_as_the_policy_lets_them_be() {
    let policy: toml::Table = POLICY.parse().unwrap();
    let found = packages();
    assert!(found.len() > 100, "{} packages", found.len());
    assert_eq!(against(&found, &policy), Vec::<String>::new());
    let package = |name: &str, licence: &str, source: &str| Package {
        name: name.to_owned(),
        licence: licence.to_owned(),
        source: Some(source.to_owned()),
    };
    let registry = "registry+https://github.com/rust-lang/crates.io-index";
    for planted in [
        package("a", "GPL-3.0-only", registry),
        package("b", "MIT AND GPL-3.0-only", registry),
        package("c", "", registry),
        package("reqwest", "MIT", registry),
        package("d", "MIT", "git+https://example.org/d"),
    ] {
        assert_eq!(against(&[planted], &policy).len(), 1);
    }
}
