//! Workbooks as spreadsheet programs write them: the sheet that is meant, its cells as they are meant, or a refusal that
//! says which sheet, which part, and what to do.

use std::fmt::Write as _;

use ladderday::app::ImportChoices;
use ladderday::exchange::csv::CsvFile;
use ladderday::exchange::sheet::has_titles;
use ladderday::exchange::workbook::{Sheet, read};

use super::again::Home;

/// How a part is put into an archive.
#[derive(Clone, Copy, PartialEq)]
enum Packed {
    Stored,
    Deflated,
    /// Says that it holds so many bytes.
    Claims(u32),
}

/// CRC-32 bit by bit, apart from the reader's.
fn checksum(bytes: &[u8]) -> u32 {
    let mut sum = !0_u32;
    for b in bytes {
        sum ^= u32::from(*b);
        for _ in 0..8 {
            sum = if sum & 1 == 1 { (sum >> 1) ^ 0xEDB8_8320 } else { sum >> 1 };
        }
    }
    !sum
}

/// An archive of parts, by APPNOTE.TXT 4.3.6.
fn archive(parts: &[(&str, Vec<u8>, Packed)]) -> Vec<u8> {
    let (mut out, mut list) = (Vec::new(), Vec::new());
    for (name, held, packed) in parts {
        let (method, body) = match packed {
            Packed::Stored => (0_u16, held.clone()),
            _ => (8, miniz_oxide::deflate::compress_to_vec(held, 6)),
        };
        let size = if let Packed::Claims(size) = packed { *size } else { held.len() as u32 };
        let mut about = [20_u16, 0, method, 0, 0].iter().flat_map(|n| n.to_le_bytes()).collect::<Vec<u8>>();
        about.extend([checksum(held), body.len() as u32, size].iter().flat_map(|n| n.to_le_bytes()));
        about.extend([name.len() as u16, 0].iter().flat_map(|n| n.to_le_bytes()));
        let at = out.len() as u32;
        out.extend(b"PK\x03\x04".iter().chain(&about).chain(name.as_bytes()).chain(&body));
        list.extend(b"PK\x01\x02\x14\x00".iter().chain(&about));
        list.extend([0_u16; 3].iter().flat_map(|n| n.to_le_bytes()));
        list.extend([0, at].iter().flat_map(|n: &u32| n.to_le_bytes()));
        list.extend(name.as_bytes());
    }
    let at = out.len() as u32;
    out.extend(&list);
    out.extend(b"PK\x05\x06\0\0\0\0");
    out.extend([parts.len() as u16; 2].iter().flat_map(|n| n.to_le_bytes()));
    out.extend([list.len() as u32, at].iter().flat_map(|n| n.to_le_bytes()));
    out.extend([0, 0]);
    out
}

const LINKS: &str = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";

/// A book of sheets, each with its state and the inside of its `worksheet`; styles 1 to 4 are a day, a share, metres,
/// a day with its hour.
fn book(sheets: &[(&str, &str, &str)], shared: &str, more: &str) -> Vec<u8> {
    let (mut listed, mut links) = (String::new(), String::new());
    let mut parts = Vec::new();
    let names: Vec<String> = (1..=sheets.len()).map(|n| format!("xl/worksheets/sheet{n}.xml")).collect();
    for (n, (name, state, inside)) in (1..).zip(sheets) {
        write!(listed, "<sheet name=\"{name}\" sheetId=\"{n}\" state=\"{state}\" r:id=\"rId{n}\"/>").unwrap();
        write!(
            links,
            "<Relationship Id=\"rId{n}\" Type=\"{LINKS}/worksheet\" Target=\"worksheets/sheet{n}.xml\"/>"
        )
        .unwrap();
        parts.push(format!("<?xml version=\"1.0\"?><worksheet>{inside}</worksheet>"));
    }
    let styles = "<styleSheet><numFmts><numFmt numFmtId=\"164\" formatCode=\"0.0&quot; m&quot;\"/></numFmts>\
                  <cellStyleXfs><xf numFmtId=\"14\"/></cellStyleXfs><cellXfs><xf numFmtId=\"0\"/><xf numFmtId=\"14\"/>\
                  <xf numFmtId=\"9\"/><xf numFmtId=\"164\"/><xf numFmtId=\"22\"/></cellXfs></styleSheet>";
    let text = |t: String| t.into_bytes();
    let mut all = vec![
        (
            "_rels/.rels",
            text(format!(
                "<Relationships><Relationship Id=\"a\" Type=\"{LINKS}/officeDocument\" Target=\"/xl/workbook.xml\"/></Relationships>"
            )),
            Packed::Stored,
        ),
        (
            "xl/workbook.xml",
            text(format!("<workbook>{more}<sheets>{listed}</sheets></workbook>")),
            Packed::Deflated,
        ),
        (
            "xl/_rels/workbook.xml.rels",
            text(format!(
                "<Relationships>{links}<Relationship Id=\"s\" Type=\"{LINKS}/sharedStrings\" Target=\"sharedStrings.xml\"/>\
                 <Relationship Id=\"f\" Type=\"{LINKS}/styles\" Target=\"styles.xml\"/></Relationships>"
            )),
            Packed::Deflated,
        ),
        ("xl/sharedStrings.xml", text(format!("<sst>{shared}</sst>")), Packed::Deflated),
        ("xl/styles.xml", text(styles.to_owned()), Packed::Stored),
    ];
    for (name, part) in names.iter().zip(&parts) {
        all.push((name, part.clone().into_bytes(), Packed::Deflated));
    }
    archive(&all)
}

/// Cells of words in a row, from its first column on.
fn row(number: u32, cells: &[&str]) -> String {
    let cells: String = cells
        .iter()
        .map(|c| {
            if c.starts_with('<') {
                (*c).to_owned()
            } else {
                format!("<c t=\"inlineStr\"><is><t>{c}</t></is></c>")
            }
        })
        .collect();
    format!("<row r=\"{number}\">{cells}</row>")
}

const SHARED: &str = "<si><t>Boat cut-out</t></si><si><r><t>zip</t></r><r><t>-tied</t></r><rPh><t>no</t></rPh></si>\
                      <si><t xml:space=\"preserve\">mind the \"tap\", \nask Pat &amp; Lou&#33;</t></si>";

/// A list under a title, with a day as a number, a share, metres, words over two rows, a sum.
fn props() -> String {
    [
        "<sheetData>",
        &row(1, &["Our lights"]),
        "<row r=\"2\"><c r=\"A2\" t=\"inlineStr\"><is><t>lights on</t></is></c><c r=\"B2\" s=\"1\"><v>46353</v></c></row>",
        &row(4, &["Item", "Qty", "Location", "Mount", "Notes", "Length", "Dim"]),
        "<row r=\"5\"><c r=\"A5\" t=\"s\"><v>0</v></c><c r=\"B5\"><f>4*2</f><v>8</v></c><c r=\"C5\" t=\"str\"><f>A1</f><v>Path left</v></c>\
         <c r=\"D5\" t=\"s\"><v>1</v></c><c r=\"E5\" t=\"s\"><v>2</v></c><c r=\"F5\" s=\"3\"><v>2.5</v></c><c r=\"G5\" s=\"2\"><v>0.8</v></c></row>",
        &row(6, &["Star", "<c><v>1.0</v></c>", "Gable", "gutter clips"]),
        &row(7, &["Elf", "<c><v>3</v></c>", "<c/>", "sandbags"]),
        &row(9, &["Total", "<c><f>SUM(B5:B7)</f></c>"]),
        "</sheetData><mergeCells><mergeCell ref=\"C6:C7\"/><mergeCell ref=\"A1:F1\"/></mergeCells>",
    ]
    .concat()
}

const AS_TEXT: &str = "Our lights,,,,,,\nlights on,2026-11-27,,,,,\n,,,,,,\nItem,Qty,Location,Mount,Notes,Length,Dim\n\
                       Boat cut-out,8,Path left,zip-tied,\"mind the \"\"tap\"\", ask Pat & Lou!\",2.5 m,80%\n\
                       Star,1,Gable,gutter clips,,,\nElf,3,Gable,sandbags,,,\n,,,,,,\nTotal,=SUM(B5:B7),,,,,\n";

fn opened(bytes: &[u8], wanted: Option<&str>) -> Result<Sheet, (&'static str, String)> {
    read(&CsvFile { name: "Lights.xlsx", bytes }, wanted, &has_titles).map_err(|f| (f.code, f.to_string()))
}

fn code(bytes: &[u8]) -> &'static str {
    opened(bytes, None).unwrap_err().0
}

fn strange_book() -> Vec<u8> {
    let cover = format!("<sheetData>{}</sheetData>", row(1, &["Read me first"]));
    let old = format!(
        "<sheetData>{}{}</sheetData>",
        row(1, &["Item", "Qty"]),
        row(2, &["Moon", "<c><v>2</v></c>"])
    );
    book(
        &[
            ("Cover", "visible", &cover),
            ("2019", "hidden", &old),
            ("Props", "visible", &props()),
            ("Old", "visible", &old),
        ],
        SHARED,
        "",
    )
}

#[test]
fn the_sheet_with_titles_is_read_as_it_is_meant() {
    let sheet = opened(&strange_book(), None).unwrap();
    assert_eq!(sheet.text, AS_TEXT);
    assert_eq!(
        sheet.said,
        [
            "sheet \"Props\" read; not read: \"Cover\", \"Old\"; --sheet NAME takes another",
            "merged cells are read for each of their rows: \"Gable\" in rows 6 to 7"
        ]
    );
    assert_eq!(opened(&strange_book(), Some("old")).unwrap().text, "Item,Qty\nMoon,2\n");
    let (code, said) = opened(&strange_book(), Some("Prices")).unwrap_err();
    assert_eq!(code, "no-sheet");
    assert!(said.contains("\"Cover\", \"2019\", \"Props\", \"Old\""), "{said}");
    // The count of days that begins in 1904, and a day with its hour.
    let day = "<sheetData><row><c s=\"4\"><v>44891.7083333333</v></c></row></sheetData>";
    let mac = book(&[("A", "visible", day)], "", "<workbookPr date1904=\"1\"/>");
    assert_eq!(opened(&mac, None).unwrap().text, "2026-11-27T17:00\n");
}

/// The same list in the other format.
fn document(rows: &str) -> Vec<u8> {
    let content = format!(
        "<office:document-content><office:automatic-styles><style:style style:name=\"ta2\"><style:table-properties \
         table:display=\"false\"/></style:style></office:automatic-styles><office:body><office:spreadsheet>\
         <table:table table:name=\"2019\" table:style-name=\"ta2\"><table:table-row><table:table-cell \
         office:value-type=\"string\"><text:p>Item</text:p></table:table-cell></table:table-row></table:table>\
         <table:table table:name=\"Props\" table:style-name=\"ta1\">{rows}<table:table-row \
         table:number-rows-repeated=\"1048000\"><table:table-cell table:number-columns-repeated=\"16384\"/></table:table-row>\
         </table:table></office:spreadsheet></office:body></office:document-content>"
    );
    archive(&[
        ("mimetype", b"application/vnd.oasis.opendocument.spreadsheet".to_vec(), Packed::Stored),
        ("content.xml", content.into_bytes(), Packed::Deflated),
    ])
}

fn ods_row(cells: &[&str]) -> String {
    let cell = |c: &&str| match *c {
        "" => "<table:table-cell/>".to_owned(),
        c if c.starts_with('<') => c.to_owned(),
        c => {
            format!("<table:table-cell office:value-type=\"string\"><text:p>{c}</text:p></table:table-cell>")
        }
    };
    format!("<table:table-row>{}</table:table-row>", cells.iter().map(cell).collect::<String>())
}

fn figure(kind: &str, told: &str, shown: &str) -> String {
    format!(
        "<table:table-cell office:value-type=\"{kind}\" {told}><text:p>{shown}</text:p></table:table-cell>"
    )
}

#[test]
fn a_document_comes_to_the_same_text() {
    let number = |n: &str| figure("float", &format!("office:value=\"{n}\""), n);
    let rows = [
        ods_row(&["Our lights"]),
        ods_row(&["lights on", &figure("date", "office:date-value=\"2026-11-27\"", "27/11/26")]),
        "<table:table-row><table:table-cell table:number-columns-repeated=\"7\"/></table:table-row>"
            .to_owned(),
        ods_row(&["Item", "Qty", "Location", "Mount", "Notes", "Length", "Dim"]),
        ods_row(&[
            "Boat<text:s/>cut-out",
            &figure("float", "table:formula=\"of:=4*2\" office:value=\"8\"", "8"),
            "<table:table-cell office:value-type=\"string\"><office:annotation><text:p>who?</text:p></office:annotation>\
             <text:p>Path left</text:p></table:table-cell>",
            "zip-tied",
            "mind the \"tap\",</text:p><text:p>ask Pat &amp; Lou!",
            &figure("float", "office:value=\"2.5\"", "2,5 m"),
            &figure("percentage", "office:value=\"0.8\"", "80 %"),
        ]),
        ods_row(&[
            "Star",
            &number("1"),
            "<table:table-cell office:value-type=\"string\" table:number-rows-spanned=\"2\"><text:p>Gable</text:p></table:table-cell>",
            "gutter clips",
        ]),
        ods_row(&["Elf", &number("3"), "<table:covered-table-cell/>", "sandbags"]),
        ods_row(&[""]),
        ods_row(&["Total", "<table:table-cell table:formula=\"of:=SUM(B5:B7)\"/>"]),
    ];
    let sheet = opened(&document(&rows.concat()), None).unwrap();
    assert_eq!(sheet.text, AS_TEXT);
    assert_eq!(sheet.said, ["merged cells are read for each of their rows: \"Gable\" in rows 6 to 7"]);
    let shown = |cell: &str| opened(&document(&ods_row(&[cell])), None).unwrap().text;
    for (cell, text) in [
        (figure("currency", "office:currency=\"EUR\" office:value=\"12.5\"", "12,50 €"), "12.5 €"),
        (figure("date", "office:date-value=\"2026-11-27T17:00:00\"", "17:00"), "2026-11-27T17:00"),
        (figure("date", "office:date-value=\"2026-11-27T00:00:00\"", "27 Nov"), "2026-11-27"),
        (figure("time", "office:time-value=\"PT17H30M00S\"", "5:30 PM"), "17:30"),
        (figure("float", "office:value=\"0\"", "#DIV/0!"), "#DIV/0!"),
        (figure("boolean", "office:boolean-value=\"true\"", "WAHR"), "TRUE"),
    ] {
        assert_eq!(shown(&cell).trim(), text, "{cell}");
    }
}

#[test]
fn a_workbook_is_imported_and_what_it_holds_no_result_of_is_refused() {
    let home = Home::new();
    let mut app = home.app();
    let path = |name: &str, bytes: Vec<u8>| {
        let path = home.folder.path().join(name);
        std::fs::write(&path, bytes).unwrap();
        vec![path]
    };
    let lights = path("Lights.xlsx", strange_book());
    let said = app.import(&lights).unwrap();
    assert!(said.contains("sheet \"Props\" read") && said.contains("line 9 \"Total\" is a total"), "{said}");
    let boats = app.yard().placements.iter().find(|p| p.name == "Boat cut-out").unwrap().clone();
    assert_eq!((boats.count, boats.length_mm.unwrap().mm()), (8, 2500));
    assert_eq!(boats.note, "mind the \"tap\", ask Pat & Lou!; Dim: 80%");
    let of_place = |name: &str| {
        let yard = app.yard();
        let place = yard.places.iter().find(|p| p.name == name).unwrap().id;
        yard.placements.iter().filter(|p| p.place_id == Some(place)).count()
    };
    assert_eq!((of_place("Gable"), of_place("Path left")), (2, 1));
    assert!(app.import(&lights).unwrap().contains("nothing new"));
    // A table by its name.
    let places =
        format!("<sheetData>{}{}</sheetData>", row(1, &["code", "name"]), row(2, &["G7", "Seventh garden"]));
    app.import(&path("place.xlsx", book(&[("Sheet1", "visible", &places)], "", ""))).unwrap();
    assert!(app.yard().places.iter().any(|p| p.code == "G7"));
    for (cells, column) in [
        (["<c><f>A1</f></c>", "<c><v>1</v></c>", "Gable"], "Item"),
        (["Star", "<c><f>1+1</f></c>", "Gable"], "Qty"),
        (["Star", "<c><v>1</v></c>", "<c t=\"e\"><v>#REF!</v></c>"], "Location"),
    ] {
        let rows = [row(1, &["Item", "Qty", "Location"]), row(2, &cells)].concat();
        let bad =
            path("bad.xlsx", book(&[("A", "visible", &format!("<sheetData>{rows}</sheetData>"))], "", ""));
        let refused = app.import(&bad).unwrap_err().what;
        assert!(
            refused.contains(&format!("bad.xlsx, line 2, {column}")) && refused.contains("formula"),
            "{refused}"
        );
    }
    let asked = ImportChoices { sheet: Some("Props".to_owned()), ..ImportChoices::default() };
    let text = path("list.csv", b"Item,Qty\nStar,1\n".to_vec());
    assert_eq!(app.import_as(&text, &asked).unwrap_err().code, "no-workbook");
}

/// Whatever byte is spoiled: the same cells, or a refusal.
#[test]
fn a_spoiled_workbook_is_never_read_otherwise() {
    let whole = strange_book();
    for at in 0..whole.len() {
        for flip in [1_u8, 0x20, 0xFF] {
            let mut bytes = whole.clone();
            bytes[at] ^= flip;
            if let Ok(sheet) = opened(&bytes, None) {
                assert_eq!(sheet.text, AS_TEXT, "byte {at} spoiled by {flip}");
            }
        }
        assert!(opened(&whole[..at], None).is_err(), "cut at {at}");
    }
}

/// Whatever its sheet says under a right checksum, it is read or refused.
#[test]
fn a_strange_sheet_is_read_or_refused() {
    let whole = props();
    for at in (0..whole.len()).filter(|at| whole.is_char_boundary(*at) && whole.is_char_boundary(at + 1)) {
        for put in ["", "<", "\"", "&", "9", "-", "e", "\u{7FF}"] {
            let sheet = format!("{}{put}{}", &whole[..at], &whole[at + 1..]);
            if let Ok(read) = opened(&book(&[("A", "visible", &sheet)], SHARED, ""), None) {
                assert!(read.text.len() < 100_000, "{at} {put}");
            }
        }
    }
}

#[test]
fn what_grows_without_end_or_is_no_workbook_is_refused() {
    let sheet = |inside: &str| book(&[("A", "visible", &format!("<sheetData>{inside}</sheetData>"))], "", "");
    let content = |bytes: Vec<u8>, packed| archive(&[("content.xml", bytes, packed)]);
    // A thousand times its size, told or not.
    let zeros = vec![b' '; 70_000_000];
    assert_eq!(code(&content(zeros.clone(), Packed::Deflated)), "workbook-too-large");
    assert_eq!(code(&content(zeros, Packed::Claims(100))), "spoiled-workbook");
    let entities = "<!DOCTYPE a [<!ENTITY b \"bbbb\"><!ENTITY c \"&b;&b;&b;&b;\">]><a>&c;</a>";
    assert_eq!(code(&content(entities.into(), Packed::Stored)), "spoiled-workbook");
    let alike = "<table:table-row table:number-rows-repeated=\"1048576\"><table:table-cell office:value-type=\"string\" \
                 table:number-columns-repeated=\"16384\"><text:p>a</text:p></table:table-cell></table:table-row>";
    assert_eq!(code(&document(alike)), "workbook-too-large");
    assert_eq!(code(&sheet("<row r=\"1048576\"><c><v>1</v></c></row>")), "workbook-too-large");
    let far = "<row r=\"400000\"><c r=\"A400000\"><v>1</v></c><c r=\"XFD400000\"><v>1</v></c></row>";
    assert_eq!(code(&sheet(far)), "workbook-too-large");
    let long = format!("<si><t>{}</t></si>", "a".repeat(1_000_000));
    let cells = "<row>".to_owned() + &"<c t=\"s\"><v>0</v></c>".repeat(100) + "</row>";
    let shared = book(&[("A", "visible", &format!("<sheetData>{cells}</sheetData>"))], &long, "");
    assert_eq!(code(&shared), "workbook-too-large");
    assert_eq!(code(&sheet("<row r=\"0\"/>")), "spoiled-workbook");
    assert_eq!(code(&sheet("<row><c t=\"s\"><v>7</v></c></row>")), "spoiled-workbook");
    assert_eq!(code(&sheet("<row><c><v>many</v></c></row>")), "spoiled-workbook");
    assert_eq!(code(&sheet("")), "empty-workbook");
    let text = |t: &str| t.as_bytes().to_vec();
    assert_eq!(code(&archive(&[("word/document.xml", text("<document/>"), Packed::Stored)])), "no-workbook");
    assert_eq!(code(&content(text("<text/>"), Packed::Stored)), "no-workbook");
    let locked = "<manifest><file-entry><encryption-data/></file-entry></manifest>";
    let locked = archive(&[
        ("META-INF/manifest.xml", text(locked), Packed::Stored),
        ("content.xml", vec![7; 99], Packed::Stored),
    ]);
    assert_eq!(code(&locked), "locked-workbook");
    assert_eq!(code(b"PK\x03\x04 and no more"), "spoiled-workbook");
}
