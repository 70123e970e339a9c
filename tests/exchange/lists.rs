//! Lists of props as strangers keep them: their own words, order, separators, encodings; titles, blanks and totals.

use ladderday::domain::{Deed, Placement, Value, Yard};
use ladderday::exchange::csv::{CsvFault, CsvFile, Target};
use ladderday::exchange::sheet::{List, ToldColumns, read_list};
use ladderday::store::Store;

use super::{YARD, import, store};

const METHODS: &str = include_str!("../../sample-data/method.csv");

pub(super) fn yard() -> (tempfile::TempDir, Store) {
    let (folder, mut store) = store();
    import(&mut store, &[("method.csv", METHODS)]);
    (folder, store)
}

pub(super) fn list(bytes: &[u8], existing: &Yard) -> Result<List, Vec<CsvFault>> {
    read_list(
        &CsvFile { name: "props.csv", bytes },
        &Target { yard_id: YARD, existing },
        None,
        &ToldColumns::default(),
    )
}

pub(super) fn apply(store: &mut Store, bytes: &[u8]) -> List {
    let list = list(bytes, &store.load_whole_yard().unwrap())
        .unwrap_or_else(|f| panic!("{}", f.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")));
    store.apply(&Deed { verb: "import", what: "Props".into(), at_ms: 9, rows: list.rows.clone() }).unwrap();
    list
}

/// The same of what a list came to, without writing it.
fn told(list: &List, existing: &Yard) -> Vec<String> {
    let cell = |id: uuid::Uuid, column: &str| {
        let row = list.rows.iter().find(|r| r.id == id)?;
        match row.set.iter().find(|(c, _)| *c == column).map(|(_, v)| v.clone())? {
            Value::Text(text) => Some(text),
            Value::Int(n) => Some(n.to_string()),
            Value::Null => None,
        }
    };
    let line = |id: uuid::Uuid| {
        let of = |column: &str| cell(id, column).unwrap_or_default();
        let place = uuid::Uuid::parse_str(&of("place_id")).ok().and_then(|p| cell(p, "name"));
        let method = existing.methods.iter().find(|m| m.id.to_string() == of("method_id"));
        let (place, method) = (place.unwrap_or("-".to_owned()), method.map_or("-", |m| &m.code));
        format!("{}|{}|{place}|{method}|{}", of("name"), of("count"), of("note"))
    };
    let mut all: Vec<String> = list.props.iter().map(|p| line(p.id)).collect();
    all.sort();
    all
}

/// Name, count, place, method and note of each placement, by name.
fn shown(store: &Store) -> Vec<String> {
    let yard = store.load_yard().unwrap();
    let place = |p: &Placement| {
        yard.places.iter().find(|x| Some(x.id) == p.place_id).map_or("-", |x| &x.name).to_owned()
    };
    let method = |p: &Placement| {
        yard.methods.iter().find(|x| Some(x.id) == p.method_id).map_or("-", |x| &x.code).to_owned()
    };
    let mut all: Vec<String> = yard
        .placements
        .iter()
        .map(|p| format!("{}|{}|{}|{}|{}", p.name, p.count, place(p), method(p), p.note))
        .collect();
    all.sort();
    all
}

const STRANGER: &str = "Our lights 2026\n\
    Lights on: Fri 27 Nov 2026 5 pm\n\
    \n\
    Item,Qty,Location,Attachment,Remarks,Colour\n\
    Bulb string,\"1,200\",Front hedge,netted over,\"mind the tap, please\",warm white\n\
    FRONT YARD:,,,,,\n\
    Boat cut-out,8x,path left,zip-tied to the fence,,\n\
    \n\
    Café star,1,Porch,suction cups,,red\n\
    Gnome,,Porch,,,\n\
    Total,1210,,,,\n";
const STRANGERS: [&str; 4] = [
    "Boat cut-out|8|path left|tie|",
    "Bulb string|1200|Front hedge|drape|mind the tap, please; Colour: warm white",
    "Café star|1|Porch|suction|Colour: red",
    "Gnome|1|Porch|set_out|",
];

#[test]
fn a_strangers_sheet_is_read_and_said() {
    let (_folder, mut store) = yard();
    let list = apply(&mut store, STRANGER.as_bytes());
    assert_eq!(shown(&store), STRANGERS);
    assert_eq!(list.season_code, "lights-2026");
    let said = list.said.join("\n");
    for part in [
        "\"Qty\" how many",
        "\"Attachment\" how mounted",
        "\"Colour\" kept in the note",
        "line 1 \"Our lights 2026\" stands over the titles",
        "line 6 \"FRONT YARD:\" is a heading",
        "line 11 \"Total\" is a total",
        "how many not told for \"Gnome\": one assumed",
        "how mounted not told for \"Gnome\"",
        "\"zip-tied to the fence\" is Tied on",
        "because of \"zip-tied\"",
    ] {
        assert!(said.contains(part), "{part} is not in:\n{said}");
    }
}

/// Every encoding, separator and line end gives the same rows.
#[test]
fn the_same_sheet_from_every_program_is_the_same() {
    let rows = || -> Vec<Vec<String>> {
        let mut reader =
            csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(STRANGER.as_bytes());
        reader.records().map(|r| r.unwrap().iter().map(str::to_owned).collect()).collect()
    };
    let (_folder, store) = yard();
    let existing = store.load_whole_yard().unwrap();
    let mut seen = 0;
    for separator in [",", ";", "\t"] {
        for end in ["\n", "\r\n", "\r"] {
            let quoted = |c: &String| format!("\"{}\"", c.replace('"', "\"\""));
            let mut text: Vec<String> =
                rows().iter().map(|r| r.iter().map(quoted).collect::<Vec<_>>().join(separator)).collect();
            text.push(String::new());
            let text = text.join(end);
            let wide = |to: fn(u16) -> [u8; 2], mark: &[u8]| -> Vec<u8> {
                mark.iter().copied().chain(text.encode_utf16().flat_map(to)).collect()
            };
            let latin: Vec<u8> = text.chars().map(|c| u8::try_from(u32::from(c)).unwrap()).collect();
            let marked = [b"\xEF\xBB\xBF".as_slice(), text.as_bytes()].concat();
            for bytes in [
                text.clone().into_bytes(),
                marked,
                latin,
                wide(u16::to_le_bytes, b"\xFF\xFE"),
                wide(u16::to_be_bytes, b"\xFE\xFF"),
                wide(u16::to_le_bytes, b""),
            ] {
                let read = list(&bytes, &existing).unwrap();
                assert_eq!(told(&read, &existing), STRANGERS, "{separator:?} {end:?} {:?}", &bytes[..4]);
                seen += 1;
            }
        }
    }
    assert_eq!(seen, 54);
}

#[test]
fn columns_are_known_in_any_order_and_wording() {
    let words = [
        ["Item", "Qty", "Location", "Attachment"],
        ["Prop", "#", "Area", "Mount"],
        ["What", "Count", "Where", "How"],
        ["Description", "Number of items", "Spot", "How attached"],
        ["Decoration", "Amount", "Position in yard", "Fixing"],
        ["Name", "Pcs", "Zone", "Mounting method"],
        ["Thing", "Quantity", "Place", "Fastened with"],
    ];
    let rows = [
        ["Star", "5", "Gable", "gutter clips"],
        ["Cane", "10", "Path", "stakes"],
        ["Elf", "2", "Lawn", "sandbags"],
    ];
    let wanted = ["Cane|10|Path|stake|", "Elf|2|Lawn|weigh|", "Star|5|Gable|clip|"];
    let (_folder, store) = yard();
    let existing = store.load_whole_yard().unwrap();
    for titles in words {
        for turn in 0..24_usize {
            let mut order: Vec<usize> = vec![0, 1, 2, 3];
            let mut left = turn;
            let order: Vec<usize> = (1..=4)
                .rev()
                .map(|n| {
                    let at = left % n;
                    left /= n;
                    order.remove(at)
                })
                .collect();
            let line = |cells: &[&str; 4]| order.iter().map(|at| cells[*at]).collect::<Vec<_>>().join(";");
            let lines: Vec<String> = std::iter::once(line(&titles)).chain(rows.iter().map(line)).collect();
            let text = format!("lights on;2026-11-27\n{}\n", lines.join("\n"));
            let read = list(text.as_bytes(), &existing).unwrap();
            assert_eq!(told(&read, &existing), wanted, "{text}");
        }
    }
}

#[test]
fn a_sheet_without_titles_is_taken_by_what_it_holds() {
    let (_folder, mut store) = yard();
    let list = apply(&mut store, b"lights on,2026-11-27\nMini trees,8,Front lawn,stakes\nStar,1,Gable,zip ties\nElf,2,Porch,sandbags\n");
    assert_eq!(shown(&store), ["Elf|2|Porch|weigh|", "Mini trees|8|Front lawn|stake|", "Star|1|Gable|tie|"]);
    assert!(list.said.join("\n").contains("no line names the columns"));
    // A column of line numbers is not how many there are.
    let (_folder, mut store) = yard();
    apply(
        &mut store,
        b"lights on,2026-11-27\n#,Item,Mount\n1,Star,zip ties\n2,Elf,sandbags\n3,Cane,stakes\n",
    );
    assert_eq!(shown(&store), ["Cane|1|-|stake|", "Elf|1|-|weigh|", "Star|1|-|tie|"]);
}

/// One broken sheet a fault: the line, the column, what is meant.
#[test]
fn what_can_be_read_two_ways_or_not_at_all_is_refused() {
    let (_folder, store) = yard();
    let existing = store.load_whole_yard().unwrap();
    let head = "lights on,2026-11-27\nItem,Qty,Location,Mount\n";
    for (text, code, line, part) in [
        (
            "lights on,11/12/2026\nItem,Qty,Location,Mount\nStar,1,Gable,clips\n".to_owned(),
            "ambiguous-date",
            1,
            "11 December 2026 or 12 November 2026",
        ),
        (format!("{head}Star,1.200,Gable,clips\n"), "ambiguous-number", 3, "1200 or 1.2"),
        (format!("{head}Star,1,200,clips\n"), "split-number", 3, "two cells"),
        (format!("{head}Star,1,200,Gable,clips\n"), "too-many-cells", 3, "5 cells"),
        (format!("{head}Star,many,Gable,clips\n"), "not-a-number", 3, "no whole number"),
        (format!("{head}Star,1,Gable,telekinesis\n"), "unknown-method", 3, "not understood"),
        (format!("{head}\"Star,1,Gable,clips\nElf,1,Gable,clips\n"), "bad-quote", 3, "never closed"),
        (
            "lights on,2026-11-27\nItem,Qty,Quantity,Mount\nStar,1,2,clips\n".to_owned(),
            "column-twice",
            2,
            "twice",
        ),
        (format!("{head}Star;1;Gable;clips\n"), "other-separator", 3, "parted by ';'"),
        (format!("{head}Total,12,,\n"), "no-props", 0, "no line"),
        ("lights on,2026-11-27\nfoo\nbar\n".to_owned(), "no-header", 1, "no line names"),
        (String::new(), "no-header", 1, ""),
    ] {
        let faults = list(text.as_bytes(), &existing).expect_err(&text);
        let found = faults.iter().find(|f| f.code == code).unwrap_or_else(|| panic!("{text}: {faults:?}"));
        assert_eq!(found.line, line, "{found}");
        assert!(found.what.contains(part) && !found.remedy.is_empty(), "{found}");
    }
    for bytes in [&b"\xD0\xCF\x11\xE0abc"[..], b"Item,Qty\nCaf\xC3\xA9,1\nCaf\xE9,2\n", b"\xFF\xFEI\0t"] {
        assert_eq!(list(bytes, &existing).unwrap_err()[0].code, "not-text");
    }
}
