//! Whatever bytes come: faults or rows, never a panic; and rows that come are taken by the tables.

use ladderday::domain::{Deed, Yard};
use ladderday::exchange::csv::{CsvFile, Target, read_folder, write_folder};
use ladderday::exchange::sheet::{ToldColumns, is_list, read_list};
use proptest::prelude::*;

use super::small_yard::FILES;
use super::{YARD, import, store};

fn feed(name: &str, bytes: &[u8], existing: &Yard) {
    let target = Target { yard_id: YARD, existing };
    let file = CsvFile { name, bytes };
    let _ = read_folder(&[file], &target);
    if is_list(&file) {
        let _ = read_list(&file, &target, None, &ToldColumns::default());
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn random_bytes_never_panic(at in 0..FILES.len(), bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        feed(FILES[at].0, &bytes, &Yard::default());
    }

    #[test]
    fn random_cells_never_panic(at in 0..FILES.len(), cells in prop::collection::vec("[ -~äß€\n\u{202E}]{0,12}", 1..40)) {
        let head = FILES[at].1.lines().next().unwrap_or_default();
        let width = head.split(',').count();
        let mut text = format!("{head}\n");
        for line in cells.chunks(width) {
            let quoted: Vec<_> = line.iter().map(|c| format!("\"{}\"", c.replace('"', "\"\""))).collect();
            text.push_str(&quoted.join(","));
            text.push('\n');
        }
        feed(FILES[at].0, text.as_bytes(), &Yard::default());
        let handful = format!("lights on,2026-11-27\nname,how many,where,how mounted,worth,length,permanent,carried by\n{text}");
        feed("props.csv", handful.as_bytes(), &Yard::default());
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    /// A cell of a good yard replaced by another: refused with a fault, or taken by the tables and written back.
    #[test]
    fn what_is_let_through_is_never_refused_by_the_tables(
        at in 0..FILES.len(),
        line in 1_usize..4,
        column in 0_usize..14,
        cell in prop::sample::select(vec![
            "", "0", "-1", "1", "64000", "9223372036854775807", "-9223372036854775808", "yes", "x", "A", "LAWN", "P-1",
            "2026-11-01T01:30", "2026-11-02T01:30", "2026-02-30", "9999-12-31T23:59Z", "-0001-01-01T00:00Z",
            "'=1", "-0", "1e3", "0.5", "7'6\"\"", "-7 m", "0 V", "100 %", "-5 C", "-300 C", "14 AWG", "9000 km",
            "in", "up", "done", "roof", "placement:P-1/x/up", "box:MT-1:LAWN:GABLE/x", "watch:wind/x/2026-12-04",
        ]),
    ) {
        let mut files: Vec<(String, String)> = FILES.iter().map(|(n, t)| ((*n).to_owned(), (*t).to_owned())).collect();
        let lines: Vec<&str> = FILES[at].1.lines().collect();
        let changed: Vec<String> = lines.iter().enumerate().map(|(i, l)| {
            if i != line || l.contains('"') { return (*l).to_owned(); }
            let mut cells: Vec<String> = l.split(',').map(str::to_owned).collect();
            let n = cells.len();
            cells[column % n] = format!("\"{cell}\"");
            cells.join(",")
        }).collect();
        files[at].1 = changed.join("\n");
        let (_folder, mut kept) = store();
        let sources: Vec<_> = files.iter().map(|(n, t)| CsvFile { name: n, bytes: t.as_bytes() }).collect();
        let existing = Yard::default();
        match read_folder(&sources, &Target { yard_id: YARD, existing: &existing }) {
            Err(faults) => prop_assert!(!faults.is_empty()),
            Ok(rows) => {
                let done = kept.apply(&Deed { verb: "import", what: "x".into(), at_ms: 1, rows });
                prop_assert!(done.is_ok(), "{:?}", done);
                let whole = kept.load_whole_yard().unwrap();
                let written = write_folder(&whole);
                let borrowed: Vec<_> = written.iter().map(|(n, t)| (n.as_str(), t.as_str())).collect();
                let (_other, mut again) = store();
                import(&mut again, &borrowed);
                prop_assert_eq!(again.load_whole_yard().unwrap(), whole);
            }
        }
    }
}
