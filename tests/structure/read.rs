//! The paths and macros a source file names, read from its text: comments and literals left out, `use` trees spread.

/// What a file names: paths as `std::fs::File`, macros as `println!`.
pub fn names(source: &str) -> Vec<String> {
    let tokens = tokens(&bare(source));
    let mut names = Vec::new();
    let mut at = 0;
    while at < tokens.len() {
        if tokens[at] == "use" {
            let end = tokens[at..].iter().position(|t| t == ";").map_or(tokens.len(), |n| at + n);
            spread(&tokens[at + 1..end], "", &mut names);
            at = end;
        } else if is_name(&tokens[at]) && (at == 0 || tokens[at - 1] != "::") {
            let mut path = tokens[at].clone();
            while tokens.get(at + 1).is_some_and(|t| t == "::")
                && tokens.get(at + 2).is_some_and(|t| is_name(t))
            {
                path = format!("{path}::{}", tokens[at + 2]);
                at += 2;
            }
            if tokens.get(at + 1).is_some_and(|t| t == "!") {
                names.push(format!("{path}!"));
            }
            if path.contains("::") {
                names.push(path);
            }
        }
        at += 1;
    }
    names
}

/// `a::{b, c::{d, e}} as f` as its full paths.
fn spread(tokens: &[String], before: &str, names: &mut Vec<String>) {
    let mut path = before.to_owned();
    let mut at = 0;
    while at < tokens.len() {
        match tokens[at].as_str() {
            "{" => {
                let (mut depth, mut from) = (1, at + 1);
                at += 1;
                while at < tokens.len() && depth > 0 {
                    match tokens[at].as_str() {
                        "{" => depth += 1,
                        "}" => depth -= 1,
                        "," if depth == 1 => {
                            spread(&tokens[from..at], &path, names);
                            from = at + 1;
                        }
                        _ => {}
                    }
                    at += 1;
                }
                spread(&tokens[from..(at - 1).max(from)], &path, names);
                return;
            }
            "as" => break,
            "::" if path.is_empty() => {}
            "::" => {}
            name if path.is_empty() => name.clone_into(&mut path),
            "self" => {}
            name => path = format!("{path}::{name}"),
        }
        at += 1;
    }
    if !path.is_empty() && !tokens.is_empty() {
        names.push(path);
    }
}

fn is_name(token: &str) -> bool {
    token.starts_with(|c: char| c.is_alphabetic() || c == '_')
}

fn tokens(code: &str) -> Vec<String> {
    let mut tokens: Vec<String> = Vec::new();
    let mut chars = code.chars().peekable();
    while let Some(c) = chars.next() {
        if c.is_alphanumeric() || c == '_' {
            let mut word = c.to_string();
            while let Some(next) = chars.next_if(|n| n.is_alphanumeric() || *n == '_') {
                word.push(next);
            }
            tokens.push(word);
        } else if c == ':' && chars.next_if_eq(&':').is_some() {
            tokens.push("::".to_owned());
        } else if !c.is_whitespace() {
            tokens.push(c.to_string());
        }
    }
    tokens
}

/// The code without comments, strings and characters.
fn bare(source: &str) -> String {
    let chars: Vec<char> = source.chars().collect();
    let get = |i: usize| chars.get(i).copied().unwrap_or(' ');
    let mut out = String::with_capacity(source.len());
    let mut i = 0;
    while i < chars.len() {
        let hashes = (1..chars.len()).take_while(|n| get(i + n) == '#').count();
        match get(i) {
            '/' if get(i + 1) == '/' => {
                while i < chars.len() && get(i) != '\n' {
                    i += 1;
                }
            }
            '/' if get(i + 1) == '*' => {
                i += 2;
                while i < chars.len() && !(get(i) == '*' && get(i + 1) == '/') {
                    i += 1;
                }
                i += 2;
            }
            'r' if get(i + 1 + hashes) == '"'
                && !out.ends_with(|c: char| c.is_alphanumeric() || c == '_') =>
            {
                i += 2 + hashes;
                while i < chars.len() && !(get(i) == '"' && (1..=hashes).all(|n| get(i + n) == '#')) {
                    i += 1;
                }
                i += 1 + hashes;
            }
            '"' => {
                i += 1;
                while i < chars.len() && get(i) != '"' {
                    i += if get(i) == '\\' { 2 } else { 1 };
                }
                i += 1;
            }
            // A character, not a lifetime.
            '\'' if get(i + 1) == '\\' => {
                i += 3;
                while i < chars.len() && get(i) != '\'' {
                    i += 1;
                }
                i += 1;
            }
            '\'' if get(i + 2) == '\'' => i += 3,
            c => {
                out.push(c);
                i += 1;
            }
        }
    }
    out
}
