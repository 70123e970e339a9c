//! What a season uses and is not fit, what is on order, and which lead goes to which way.

use std::collections::BTreeMap;

use ladderday::answers::power::CheckKind;
use ladderday::answers::view::{Finding, Level};

use crate::triples::{checked, of_texts};

const SEASON: &str = "code,name,show,lights_on,lights_off\nglow,Glow,glow,2026-11-27T17:00,2026-12-31\n";

fn stock(tables: &[(&str, &str)]) -> Vec<Finding> {
    let site = "name,time_zone\nYard,America/New_York\n";
    let mut all: BTreeMap<String, String> =
        [("season", SEASON), ("site", site)].map(|(name, text)| (name.to_owned(), text.to_owned())).into();
    all.extend(tables.iter().map(|(name, text)| ((*name).to_owned(), (*text).to_owned())));
    checked(&of_texts(&all, true), &[CheckKind::Stock]).findings
}

#[test]
fn a_lost_supply_and_a_faulty_mount_are_named_once() {
    let found = stock(&[
        ("product", "code,name,role\nSUP,Supply,supply\nBOX,Box,box\nHOOK,Hook,mount\nSTAR,Star,prop\n"),
        ("piece", "code,product,condition\nS-1,SUP,lost\nB-1,BOX,good\nH-1,HOOK,faulty\n"),
        ("placement", "code,name,season,product,mount\nP1,Star,glow,STAR,H-1\nP2,Star two,glow,STAR,H-1\n"),
        ("link", "code,kind,season,from_piece,to_piece,to_end\nF1,dc,glow,S-1,B-1,A\nF2,dc,glow,S-1,B-1,B\n"),
    ]);
    let of = |code: &str| found.iter().filter(|f| f.code == code).map(|f| &*f.place).collect::<Vec<_>>();
    assert_eq!((of("stock.lost"), of("stock.faulty")), (vec!["S-1"], vec!["H-1"]));
}

/// The way of 5 m may have either lead, that of 4 m needs the thick one: both get one.
#[test]
fn a_way_gives_its_lead_up_where_another_does_for_it() {
    let leads = |thick: &str, thin: &str| {
        stock(&[
            (
                "product",
                "code,name,role,wire\nTHICK,Thick,lead,14 AWG\nTHIN,Thin,lead,20 AWG\nBOX,Box,box,\nSTAR,Star,prop,\n",
            ),
            (
                "piece",
                &format!("code,product,length_mm\nA-1,THICK,{thick}\nA-2,THIN,{thin}\nB-1,BOX,\n"),
            ),
            ("placement", "code,name,season,product\nP1,Star,glow,STAR\nP2,Star two,glow,STAR\n"),
            (
                "link",
                "code,kind,season,from_piece,from_port,to_placement,length_mm,wire\n\
                 D1,dc,glow,B-1,1,P1,5 m,\nD2,dc,glow,B-1,2,P2,4 m,16 AWG\n",
            ),
        ])
        .iter()
        .filter(|f| f.code == "stock.leads")
        .count()
    };
    assert_eq!(leads("5 m", "6 m"), 0);
    assert_eq!(leads("5 m", "4.5 m"), 1, "the thin one is too short for the other way");
    assert_eq!(leads("3 m", "6 m"), 1, "the thick one is too short");
}

#[test]
fn what_comes_in_time_is_a_note_and_what_comes_too_late_is_to_mend() {
    let at = |expected: &str| {
        let order = format!("code,vendor,ordered_on,expected_on\nPO1,V,2026-08-20,{expected}\n");
        let found = stock(&[
            ("product", "code,name,kind,role\nPEG,Ground stake,stake,part\nSTAR,Star,,prop\n"),
            ("placement", "code,name,season,product,stakes,method\nP1,Star,glow,STAR,8,stake\n"),
            ("stock", "code,product\nLOT,PEG\n"),
            ("stock_move", "stock,kind,quantity,at\nLOT,counted,3,2026-08-01T10:00\n"),
            ("vendor", "code,name\nV,Vend\n"),
            ("purchase_order", &order),
            ("order_line", "order,product,packs,pack,price_cents\nPO1,PEG,5,1,100\n"),
        ]);
        found.iter().find(|f| f.code == "stock.short").map(|f| (f.level, f.what.clone())).unwrap()
    };
    let (level, what) = at("2026-10-10");
    assert!(level == Level::Note && what.contains("5 on order (PO1, expected Sat 10 Oct 2026)"), "{what}");
    let (level, what) = at("2026-12-01");
    assert!(level == Level::Mend && what.contains("too late"), "{what}");
}
