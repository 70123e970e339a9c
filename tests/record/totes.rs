//! Totes: what is where by ticks, scans and counts; the packing proposed and taken; finding; bad input.

use ladderday::app::{App, Ask, Form};
use ladderday::domain::{Condition, TickKind};

use super::{Yard, json, rows, text};

/// A garage of another kind: metric, two totes and a bench crate, no sessions, some sizes not told.
fn garage() -> Yard {
    Yard::of(&[
        ("site.csv", "name,time_zone,units\nBarn,Europe/Berlin,si\n"),
        ("place.csv", "code,name,access\nYARD,Yard,ground\nGABLE,North gable,step_ladder\n"),
        (
            "container.csv",
            "code,name,kind,parent,length_mm,width_mm,height_mm,max_mass_g,bench\n\
             SH,Barn shelf,shelf,,,,,,no\nB-1,Stars,tote,SH,600,400,320,12000,no\nB-2,Trees,tote,SH,600,400,320,12000,no\n\
             BNC,Bench,tote,SH,600,400,320,12000,yes\n",
        ),
        (
            "product.csv",
            "code,name,kind,role,width_mm,height_mm,depth_mm,mass_g\nSTAR,Star,star,prop,300,300,100,1500\n\
             TREE,Tree,tree,prop,300,300,300,4000\nPOLE,Pole,pole,prop,1800,40,40,900\nODD,Odd thing,odd,prop,,,,\n",
        ),
        (
            "piece.csv",
            "code,product,home\nS-1,STAR,B-1\nS-2,STAR,B-1\nS-3,STAR,B-1\nT-1,TREE,B-2\nT-2,TREE,B-2\nT-3,TREE,B-2\n\
             P-1,POLE,B-1\nO-1,ODD,\n",
        ),
        (
            "season.csv",
            "code,name,show,lights_on,lights_off\nfrost-2026,Frost,frost,2026-12-01T17:00,2027-01-06\n",
        ),
        (
            "placement.csv",
            "code,name,season,product,count,place,method\nPL-S,Stars,frost-2026,STAR,3,GABLE,hook\n\
             PL-T,Trees,frost-2026,TREE,3,YARD,stake\nPL-P,Pole,frost-2026,POLE,1,YARD,stake\n\
             PL-O,Odd,frost-2026,ODD,1,YARD,stake\n",
        ),
        (
            "placement_piece.csv",
            "placement,piece\nPL-S,S-1\nPL-S,S-2\nPL-S,S-3\nPL-T,T-1\nPL-T,T-2\nPL-T,T-3\nPL-P,P-1\nPL-O,O-1\n",
        ),
    ])
}

const AFTER: &str = "2027-01-09T10:00";

fn tote(app: &mut App, code: &str) -> (u64, u64) {
    let doc = json(&app.totes_answer(Form::Json).unwrap());
    let row = doc.as_array().unwrap().iter().find(|r| r["code"] == code).unwrap().clone();
    (row["in"].as_u64().unwrap(), row["of"].as_u64().unwrap())
}

fn put(app: &mut App, into: &str, pieces: &[&str]) -> Result<String, String> {
    let pieces = pieces.iter().map(|p| (*p).to_owned()).collect();
    app.perform(&Ask::PutInto { tote: into.to_owned(), pieces })
        .map(|d| d.said)
        .map_err(|p| p.code.to_owned())
}

fn condition(app: &App, code: &str) -> Condition {
    app.yard().pieces.iter().find(|p| p.code == code).unwrap().condition
}

#[test]
fn ticks_take_pieces_out_and_bring_them_home() {
    let yard = garage();
    let mut app = yard.at("2026-11-20T10:00");
    assert_eq!(tote(&mut app, "B-1"), (4, 4), "nothing was ticked: all is where it lives");
    let key = |step: &str, phase: &str, app: &App| {
        let id = app.yard().placements.iter().find(|p| p.code == "PL-S").unwrap().id;
        format!("placement:{id}/{step}/{phase}")
    };
    let hang = key("hook.hang", "up", &app);
    app.perform(&Ask::Tick { key: hang, kind: TickKind::Done, count: None, why: None }).unwrap();
    assert_eq!(tote(&mut app, "B-1"), (1, 4), "the stars hang, the pole is in");
    let list = app.totes_answer(Form::Text).unwrap();
    assert!(list.contains("S-1 up at North gable"), "{list}");
    let mut app = yard.at(AFTER);
    for step in ["hook.unhook", "hook.pack"] {
        let key = key(step, "down", &app);
        app.perform(&Ask::Tick { key, kind: TickKind::Done, count: None, why: None }).unwrap();
    }
    assert_eq!(tote(&mut app, "B-1"), (3, 4), "packed is home again; the pole, which was lit, hangs still");
}

#[test]
fn scans_and_counts_say_where_things_are_and_what_is_lost() {
    let yard = garage();
    let mut app = yard.at("2026-11-20T10:00");
    assert!(put(&mut app, "b-2", &["s-1", "o-1"]).unwrap().starts_with("Into B-2 Trees: S-1, O-1"));
    assert_eq!((tote(&mut app, "B-1"), tote(&mut app, "B-2")), ((3, 3), (5, 5)));
    for (into, pieces, code) in [("B-9", ["S-1"], "no-tote"), ("B-1", ["X-1"], "no-piece")] {
        let before = app.yard().piece_looks.len();
        assert_eq!(put(&mut app, into, &pieces), Err(code.to_owned()));
        assert_eq!(app.yard().piece_looks.len(), before, "nothing was moved");
    }
    app.perform(&Ask::TakeOut { pieces: vec!["T-1".to_owned()] }).unwrap();
    assert_eq!(tote(&mut app, "B-2"), (4, 5));
    // Four trees and stars are 2000 + 3 x 4000 + 1500 g: more than the 12 kg told for the tote.
    assert!(
        app.totes_answer(Form::Text)
            .unwrap()
            .contains("over weight: about 15.5 kg and 1 piece not weighed, of 12")
    );
    let count = |missing: &[&str], found: &[&str]| Ask::CountTote {
        tote: "B-1".to_owned(),
        missing: missing.iter().map(|s| (*s).to_owned()).collect(),
        found: found.iter().map(|s| (*s).to_owned()).collect(),
        part: false,
        lots: Vec::new(),
    };
    let said = app.perform(&count(&["S-2"], &["T-2"])).unwrap().said;
    assert_eq!(said, "Counted B-1: 3 there; missing: S-2; found: T-2");
    assert_eq!(condition(&app, "S-2"), Condition::Lost);
    assert_eq!(tote(&mut app, "B-1"), (3, 4), "the lost one still lives there");
    assert_eq!(app.perform(&count(&["T-3"], &[])).unwrap_err().code, "not-here");
    app.perform(&count(&[], &["S-2"])).unwrap();
    assert_eq!(condition(&app, "S-2"), Condition::Good, "found again");
    app.perform(&Ask::Undo).unwrap();
    assert_eq!(condition(&app, "S-2"), Condition::Lost);
    let buy = app.buy_answer(&ladderday::app::BuyChoice::default(), Form::Text).unwrap();
    assert!(buy.contains("lost: S-2"), "a loss becomes a need: {buy}");
}

#[test]
fn a_faulty_piece_goes_on_the_bench_and_never_home() {
    let yard = garage();
    let mut app = yard.at(AFTER);
    let id = app.yard().pieces.iter().find(|p| p.code == "S-3").unwrap().id.0;
    let edit = Ask::Edit { table: "piece", id, column: "condition".to_owned(), text: "faulty".to_owned() };
    app.perform(&edit).unwrap();
    assert_eq!(put(&mut app, "B-1", &["S-3"]), Err("faulty-piece".to_owned()));
    put(&mut app, "BNC", &["S-3"]).unwrap();
    let home = app.yard().pieces.iter().find(|p| p.code == "S-3").unwrap().home_id;
    let b1 = app.yard().containers.iter().find(|c| c.code == "B-1").unwrap().id;
    assert_eq!(home, Some(b1), "the bench is no home: it goes back once it is good");
    let found = app.tote_find_answer(
        "s-3",
        |_, l| vec![l.iter().position(|l| l.starts_with("S-3")).unwrap()],
        Form::Text,
    );
    assert!(found.unwrap().contains("BNC Bench, Barn shelf (on the bench)"));
    // Words that are nowhere don't hide the one that is; letters of other words are none.
    let asked = app.tote_find_answer(
        "Where is s-3 of the zzz gable?",
        |_, _| panic!("a word is found as it stands"),
        Form::Text,
    );
    assert!(asked.unwrap().starts_with("S-3"));
    let pack = json(&app.pack_answer(Form::Json).unwrap());
    assert_eq!(rows(&pack, "bench"), &[serde_json::json!("S-3")]);
}

/// By hand: a tote takes 85 % of 76.8 L and 10 kg. Three trees are 81 L and three stars 27 L: by place they would take
/// three totes, two are owned, and mixed they fit into two (81 + 27 L of 130.5). The pole is 1.8 m long, the odd thing
/// tells nothing.
#[test]
fn the_fewest_totes_are_proposed_proven_and_taken() {
    let yard = garage();
    let mut app = yard.at(AFTER);
    let pack = json(&app.pack_answer(Form::Json).unwrap());
    assert_eq!(rows(&pack, "totes").len(), 2, "{pack:#}");
    assert_eq!((&pack["proven"], pack["at_least"].as_u64()), (&true.into(), Some(2)));
    assert_eq!(rows(&pack, "too_long"), &[serde_json::json!("P-1")]);
    assert_eq!(rows(&pack, "not_told"), &[serde_json::json!("O-1")]);
    let text_of = app.pack_answer(Form::Text).unwrap();
    assert!(
        text_of.contains("places share totes") && text_of.contains("P-1 (1.8 m, the tote takes 0.6 m)"),
        "{text_of}"
    );
    for t in rows(&pack, "totes") {
        assert!(
            t["mass_g"].as_i64().unwrap() <= 12_000 && t["litres"].as_f64().unwrap() <= 0.85 * 76.8,
            "{t}"
        );
    }
    app.perform(&Ask::WritePack).unwrap();
    let again = json(&app.pack_answer(Form::Json).unwrap());
    let lies = |doc: &serde_json::Value| {
        let mut all: Vec<(String, String)> = rows(doc, "totes")
            .iter()
            .map(|t| (text(t, "code").to_owned(), t["pieces"].to_string()))
            .collect();
        all.sort();
        all
    };
    assert_eq!(lies(&again), lies(&pack), "once taken nothing more moves");
    assert_eq!(app.perform(&Ask::WritePack).unwrap_err().code, "packed-already");
    // Six trees more, 162 L: five totes at least hold 270 L, and three of them are still to be had.
    let more = tempfile::tempdir().unwrap();
    let pieces: String = (4..10).map(|n| format!("T-{n},TREE\n")).collect::<Vec<_>>().concat();
    let placed: String = (4..10).map(|n| format!("PL-T,T-{n}\n")).collect::<Vec<_>>().concat();
    std::fs::write(more.path().join("piece.csv"), format!("code,product\n{pieces}")).unwrap();
    std::fs::write(more.path().join("placement_piece.csv"), format!("placement,piece\n{placed}")).unwrap();
    app.import(&[more.path().to_owned()]).unwrap();
    let pack = json(&app.pack_answer(Form::Json).unwrap());
    let codes: Vec<&str> = rows(&pack, "totes").iter().map(|t| text(t, "code")).collect();
    assert!(codes.len() >= 5 && codes.contains(&"B-1") && codes.contains(&"T-01"), "{pack:#}");
    let said = app.perform(&Ask::WritePack).unwrap().said;
    assert!(said.contains("more totes: T-01"), "{said}");
    assert_eq!(app.yard().containers.len(), 4 + codes.len() - 2, "the new ones are there");
}

#[test]
fn one_label_on_two_things_is_found() {
    let yard = garage();
    let mut app = yard.at(AFTER);
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("piece.csv"), "code,product,home\nb-1,STAR,B-1\n").unwrap();
    app.import(&[folder.path().to_owned()]).unwrap();
    let list = app.totes_answer(Form::Text).unwrap();
    assert!(list.contains("one label twice: B-1 is on piece and tote"), "{list}");
    // Told by itself it is said at once, and another label is not.
    let mut tote = |code: &str| {
        let cells = vec![("kind".to_owned(), "tote".to_owned())];
        app.perform(&Ask::Tell { kind: "container".into(), code: Some(code.into()), cells }).unwrap().said
    };
    assert!(tote("s-1").contains("one label twice: S-1 is on piece and tote"));
    assert!(!tote("B-77").contains("one label twice"));
}

/// A tote named for something is for that first, whatever lies in it now; one whose things stay out is left to them.
#[test]
fn a_tote_keeps_its_name() {
    let yard = Yard::of(&[
        ("site.csv", "name,time_zone,units\nBarn,Europe/Berlin,si\n"),
        ("place.csv", "code,name,access\nYARD,Yard,ground\nPORCH,Porch,ground\n"),
        (
            "container.csv",
            "code,name,kind,length_mm,width_mm,height_mm\nK-1,Sleds 1-4,tote,600,400,320\nK-2,Bulbs,tote,600,400,320\n\
             K-3,Goose,tote,600,400,320\n",
        ),
        (
            "product.csv",
            "code,name,role,width_mm,height_mm,depth_mm,mass_g\nSLED,Sled,prop,300,300,300,1500\n\
             BULB,Big bulb,prop,300,300,300,500\nGOOSE,Goose,prop,300,300,300,500\n",
        ),
        // The last packing put each into the other's tote; the geese are lent and lie in none.
        (
            "piece.csv",
            "code,product,home,condition\nS-1,SLED,K-2,good\nB-1,BULB,K-1,good\nB-2,BULB,K-1,good\nG-1,GOOSE,,lent\n",
        ),
        (
            "season.csv",
            "code,name,show,lights_on,lights_off\nfrost-2026,Frost,frost,2026-12-01T17:00,2027-01-06\n",
        ),
        (
            "placement.csv",
            "code,name,season,product,count,place,method\nPL-S,Rider,frost-2026,SLED,1,YARD,stake\n\
             PL-B,Row,frost-2026,BULB,2,PORCH,stake\n",
        ),
        ("placement_piece.csv", "placement,piece\nPL-S,S-1\nPL-B,B-1\nPL-B,B-2\n"),
    ]);
    let mut app = yard.at(AFTER);
    let pack = json(&app.pack_answer(Form::Json).unwrap());
    let lies: Vec<(&str, usize)> =
        rows(&pack, "totes").iter().map(|t| (text(t, "code"), rows(t, "pieces").len())).collect();
    assert_eq!(lies, [("K-2", 2), ("K-1", 1)], "{pack:#}");
    let said = app.pack_answer(Form::Text).unwrap();
    assert_eq!(said.matches("by their names: ").count(), 1, "{said}");
    // What would go into an empty tote goes into none that is named for what is elsewhere.
    let one = |column: &str, app: &mut App| {
        let id = app.yard().containers.iter().find(|c| c.code == "K-2").unwrap().id.0;
        let edit = Ask::Edit { table: "container", id, column: column.to_owned(), text: "10 cm".to_owned() };
        app.perform(&edit).unwrap();
    };
    one("length_mm", &mut app);
    let pack = json(&app.pack_answer(Form::Json).unwrap());
    let codes: Vec<&str> = rows(&pack, "totes").iter().map(|t| text(t, "code")).collect();
    assert!(codes.contains(&"K-1") && !codes.contains(&"K-3"), "{pack:#}");
    let said = app.pack_answer(Form::Text).unwrap();
    assert!(said.contains("left to what lives in them or gave them their name: K-3 Goose"), "{said}");
}

/// A count in part: what was looked at is counted, the rest stays not counted, and a lot's difference is a loss or a find.
#[test]
fn a_count_in_part_leaves_the_rest_not_counted() {
    let yard = garage();
    let mut app = yard.at(AFTER);
    let more = tempfile::tempdir().unwrap();
    std::fs::write(more.path().join("stock.csv"), "code,product,home\nZIP,ODD,B-1\n").unwrap();
    let moves = "stock,kind,quantity,at\nZIP,counted,120,2026-09-01T10:00\n";
    std::fs::write(more.path().join("stock_move.csv"), moves).unwrap();
    app.import(&[more.path().to_owned()]).unwrap();
    let count = |part: bool, missing: &[&str], found: &[&str], lots: &[(&str, i64)]| Ask::CountTote {
        tote: "B-1".to_owned(),
        missing: missing.iter().map(|s| (*s).to_owned()).collect(),
        found: found.iter().map(|s| (*s).to_owned()).collect(),
        part,
        lots: lots.iter().map(|(code, n)| ((*code).to_owned(), *n)).collect(),
    };
    let said = app.perform(&count(true, &["S-2"], &["S-1"], &[("zip", 113)])).unwrap().said;
    assert_eq!(
        said,
        "Counted in part, B-1: 1 there; missing: S-2; ZIP: 113 of 120 expected, 7 lost; not counted: P-1, S-3"
    );
    let list = |app: &mut App| app.totes_answer(Form::Text).unwrap();
    assert!(list(&mut app).contains("not counted: 2 of 3: P-1, S-3"), "{}", list(&mut app));
    let zip = |app: &App| ladderday::steps::on_hand(app.yard(), app.yard().stock[0].id);
    assert_eq!((zip(&app), condition(&app, "S-2")), (113, Condition::Lost));
    app.perform(&Ask::Undo).unwrap();
    assert_eq!((zip(&app), condition(&app, "S-2")), (120, Condition::Good), "one deed, taken back whole");
    assert!(!list(&mut app).contains("not counted"), "nothing was counted, nothing is counted in part");
    app.perform(&Ask::Redo).unwrap();
    // The other half on another day; what was counted stays counted.
    let mut app = yard.at("2027-02-11T10:00");
    let said = app.perform(&count(true, &[], &["S-3", "P-1", "T-1"], &[("ZIP", 115)])).unwrap().said;
    assert!(said.contains("3 there; found: T-1; ZIP: 115 of 113 expected, 2 found"), "{said}");
    assert!(!said.contains("not counted"), "S-1 was counted the day before: {said}");
    assert!(!list(&mut app).contains("not counted:"), "{}", list(&mut app));
    assert_eq!(app.perform(&count(true, &[], &[], &[])).unwrap_err().code, "nothing-counted");
    for (lot, n, code) in [("NIL", 1, "no-lot"), ("ZIP", -1, "bad-count")] {
        assert_eq!(app.perform(&count(true, &[], &[], &[(lot, n)])).unwrap_err().code, code);
    }
    assert_eq!(zip(&app), 115);
    assert!(app.perform(&count(false, &[], &[], &[])).unwrap().said.contains("not counted: ZIP"));
}

/// On the demo: every piece that comes down and can be packed lies in one tote of its list, none over weight.
#[test]
fn the_demo_is_packed_each_piece_once_and_nothing_over_weight() {
    let yard = Yard::demo();
    let mut app = yard.at("2027-01-10T10:00");
    let pack = json(&app.pack_answer(Form::Json).unwrap());
    let mut seen = std::collections::BTreeSet::new();
    for t in rows(&pack, "totes") {
        assert!(t["mass_g"].as_i64().unwrap() <= 23_000, "{t}");
        for p in rows(t, "pieces") {
            assert!(seen.insert(p.as_str().unwrap().to_owned()), "{p} lies twice");
        }
    }
    assert!(seen.len() > 40, "{pack:#}");
    app.perform(&Ask::WritePack).unwrap();
    assert!(app.perform(&Ask::Undo).is_ok());
}

/// Takedown: one wet and one worn, one faulty, one missing; the rest good and dry with one deed.
#[test]
fn takedown_asks_only_for_exceptions_and_writes_them_to_the_pieces() {
    use ladderday::domain::{LookKind, Phase};
    let yard = garage();
    let mut app = yard.at(AFTER);
    let steps = |app: &mut App| {
        let doc = json(&app.steps_answer(Phase::Down, Form::Json).unwrap());
        rows(&doc, "steps").clone()
    };
    let key = |of: &str, step: &str, app: &App| {
        let id = app.yard().placements.iter().find(|p| p.code == of).unwrap().id;
        format!("placement:{id}/{step}/down")
    };
    let off = |app: &mut App, of: &str, step: &str, how: LookKind, pieces: &[&str]| {
        let pieces = pieces.iter().map(|p| (*p).to_owned()).collect();
        app.perform(&Ask::CameOff { key: key(of, step, app), how, pieces, many: None })
            .map(|d| d.said)
            .map_err(|p| p.code)
    };
    let state = |app: &mut App, of: &str, step: &str| {
        let key = key(of, step, app);
        let all = steps(app);
        let codes = key.clone();
        let row = all
            .iter()
            .find(|s| s["key"] == codes.as_str() || text(s, "key").contains(&format!("{of}/{step}/")));
        text(row.unwrap_or_else(|| panic!("{codes} in {all:#?}")), "state").to_owned()
    };
    let pack = steps(&mut app);
    assert!(
        pack.iter().any(|s| text(s, "title").contains("pack into B-2")),
        "each line says into which tote"
    );
    assert!(off(&mut app, "PL-T", "stake.lift", LookKind::Good, &[]).unwrap().starts_with("Good and dry"));
    assert_eq!(state(&mut app, "PL-T", "stake.dry"), "skipped", "nothing is wet: no drying");
    assert!(off(&mut app, "PL-S", "hook.unhook", LookKind::Wet, &["s-1"]).unwrap().contains("drying place"));
    assert!(
        off(&mut app, "PL-S", "hook.unhook", LookKind::Faulty, &["S-2"])
            .unwrap()
            .contains("into BNC, not home")
    );
    off(&mut app, "PL-S", "hook.unhook", LookKind::Missing, &["S-3"]).unwrap();
    assert_eq!(off(&mut app, "PL-S", "hook.unhook", LookKind::Wet, &["T-1"]), Err("no-piece"));
    off(&mut app, "PL-S", "hook.unhook", LookKind::Good, &[]).unwrap();
    assert_eq!(state(&mut app, "PL-S", "hook.unhook"), "done");
    assert_eq!(state(&mut app, "PL-S", "hook.dry"), "open", "the wet one dries first");
    let list = app.totes_answer(Form::Text).unwrap();
    for line in ["S-1 off, wet: it dries", "S-3 lost"] {
        assert!(list.contains(line), "{line} in {list}");
    }
    assert_eq!(app.yard().faults.len(), 1, "the faulty one has its fault");
    assert_eq!((condition(&app, "S-2"), condition(&app, "S-3")), (Condition::Faulty, Condition::Lost));
    let life = {
        use ladderday::answers::view::{KitKind, ScreenId};
        use ladderday::app::{Detail, DetailOf, Page, PageWant};
        let Ok(Page::Kit(kit)) = app.page(ScreenId::Kit, &PageWant::default()) else { panic!("Kit") };
        let row = kit.rows.into_iter().find(|r| r.kind == KitKind::Piece && r.code == "S-1").unwrap();
        let Some(Detail::Kit(detail)) = app.detail(DetailOf::Kit(row.kind, row.id)) else { panic!("Kit") };
        detail.lines
    };
    assert!(life.iter().any(|(label, line)| label == "seen" && line.ends_with("came off wet")), "{life:?}");
    let hook = key("PL-S", "hook.hang", &app).replace("/down", "/up");
    let up = app.perform(&Ask::CameOff { key: hook, how: LookKind::Good, pieces: Vec::new(), many: None });
    assert_eq!(up.unwrap_err().code, "not-down");
}
