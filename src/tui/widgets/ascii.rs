//! What stands for a character on a console that knows only ASCII.

/// One ASCII character for the symbol of a cell.
pub fn plain(symbol: &str) -> &'static str {
    let Some(c) = symbol.chars().next() else { return " " };
    match c {
        // Not x and X: one is fine, the other stops the work.
        '✓' => "+",
        // Beside a letter on the map "o" would read as a word: "on", "ok".
        '○' => "@",
        '▶' => "%",
        '›' | '→' => ">",
        '←' => "<",
        '‖' => "=",
        '◆' => "&",
        '–' | '—' | '─' | '−' => "-",
        '✗' => "!",
        '•' => "*",
        '×' => "x",
        '·' => "'",
        '…' => "~",
        '│' | '┃' => "|",
        '═' | '━' => "=",
        '┌' | '┐' | '└' | '┘' | '├' | '┤' | '┬' | '┴' | '┼' => "+",
        '█' | '▓' => "#",
        '▀' => "\"",
        '▄' | '▁' | '▂' | '▃' => "_",
        '▅' | '▆' | '▇' => "=",
        '▒' => "=",
        '░' => ".",
        '▲' | '↑' => "^",
        '▼' | '↓' => "v",
        // A prime would read as minutes.
        '°' => " ",
        '½' | '¼' | '¾' => "/",
        '’' | '‘' => "'",
        '“' | '”' => "\"",
        '≥' => ">",
        '≤' => "<",
        'Ω' => "R",
        'µ' | 'μ' => "u",
        'ä' | 'á' | 'à' | 'â' | 'å' | 'ã' => "a",
        'é' | 'è' | 'ê' | 'ë' => "e",
        'í' | 'ì' | 'î' | 'ï' => "i",
        'ö' | 'ó' | 'ò' | 'ô' | 'õ' | 'ø' => "o",
        'ü' | 'ú' | 'ù' | 'û' => "u",
        'ç' => "c",
        'ñ' => "n",
        'ß' => "s",
        _ => "?",
    }
}
