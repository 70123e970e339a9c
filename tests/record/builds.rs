//! A wished placement gives its bill of materials; the list of January is made from what was used and what is wished.

use ladderday::app::{Ask, BuyChoice, Form};

use super::{Yard, json, rows, text};

const SITE: (&str, &str) = ("site.csv", "name,time_zone,currency\nRow 3,America/New_York,USD\n");
const SEASON: (&str, &str) = (
    "season.csv",
    "code,name,lights_on,lights_off,work_from\nw-26,Winter,2026-11-27T17:00,2027-01-06,2026-10-10\n",
);
/// A star of 50 pixels of 55 mA at 5 V is 13.75 W.
const PRODUCT: (&str, &str) = (
    "product.csv",
    "code,name,kind,role,counted,volts_mv,pixels,pixel_ma,output_mv,rated_mw,ports,port_pixels,length_mm\n\
     P-MINI,Mini tree,mini tree,prop,no,5000,50,55,,,,,\n\
     SUP,Supply 5 V 50 W,supply,supply,no,,,,5000,50000,,,\n\
     SUP12,Supply 12 V 50 W,supply,supply,no,,,,12000,50000,,,\n\
     CTL,Controller of 2 ports,controller,controller,no,,,,,,2,800,\n\
     LD,Lead 2 m,lead,lead,no,,,,,,,,2000\n\
     LDX,Flat lead 1 m,lead,lead,no,,,,,,,,1000\n\
     STK,Stake,stake,part,yes,,,,,,,,\n\
     TIE,Ties,ties,consumable,yes,,,,,,,,\n\
     PIPE,Conduit half metre,conduit,part,yes,,,,,,,,\n\
     CLMP,Clamp,clamp,part,yes,,,,,,,,\n",
);
const ENDS: (&str, &str) = (
    "product_end.csv",
    "product,end_name,direction,plug_family\nP-MINI,in,in,round3\nLD,in,in,round3\nLD,out,out,round3\n\
     LDX,in,in,flat3\nLDX,out,out,flat3\n",
);
const USES: (&str, &str) = (
    "recipe_use.csv",
    "recipe_step,product,per_placement,per_piece,per_metre\nstake.tie,TIE,0,4,0\nstake.drive,PIPE,0,2,0\n\
     stake.set,CLMP,1,2,0\n",
);
const STOCK: (&str, &str) = ("stock.csv", "code,product\nS-TIE,TIE\nS-STK,STK\n");
const MOVES: (&str, &str) = (
    "stock_move.csv",
    "stock,kind,quantity,at\nS-TIE,bought,17,2026-01-10T12:00\nS-STK,bought,5,2026-01-10T12:00\n",
);
const PIECES: (&str, &str) = ("piece.csv", "code,product,condition\nCTL-1,CTL,good\nLD-1,LD,good\n");

fn yard(placements: &str) -> Yard {
    let head = "code,name,season,product,count,method,stakes,worth,wished\n";
    let placements = format!("{head}{placements}");
    Yard::of(&[SITE, SEASON, PRODUCT, ENDS, USES, STOCK, MOVES, PIECES, ("placement.csv", &placements)])
}

fn needs(yard: &Yard, now: &str) -> Vec<(String, i64, String, String)> {
    let doc = json(&yard.at(now).buy_answer(&BuyChoice::default(), Form::Json).unwrap());
    let of = |n: &serde_json::Value| {
        let why: Vec<&str> = rows(n, "why").iter().filter_map(|r| r.as_str()).collect();
        let by = n["need_by"].as_str().unwrap_or_default().to_owned();
        (text(n, "title").to_owned(), n["quantity"].as_i64().unwrap(), by, why.join("; "))
    };
    rows(&doc, "needs").iter().map(of).collect()
}

/// Three trees: 41.25 W, and 80 % of 50 W is 40 W, so two supplies; three ports, two a controller, one of which is at
/// home; three leads that fit, one at home; 12 ties of 17 on hand; six stakes of five; conduit and clamps by the recipe.
#[test]
fn a_wished_placement_gives_its_bill_of_materials() {
    let yard = yard("N-1,Mini trees,w-26,P-MINI,3,stake,6,4,yes\n");
    let list = needs(&yard, "2026-02-01T12:00");
    let of = |title: &str| list.iter().find(|n| n.0 == title).map(|n| n.1);
    for (title, n) in [
        ("Mini tree", Some(3)),
        ("Supply 5 V 50 W", Some(2)),
        ("Supply 12 V 50 W", None),
        ("Controller of 2 ports", Some(1)),
        ("Lead 2 m", Some(2)),
        ("Flat lead 1 m", None),
        ("Stake", Some(1)),
        ("Ties", None),
        ("Conduit half metre", Some(6)),
        ("Clamp", Some(7)),
    ] {
        assert_eq!(of(title), n, "{title}: {list:#?}");
    }
    assert!(list.iter().all(|n| n.2 == "2026-09-10" && n.3.contains("new build: Mini trees")), "{list:#?}");
    let supply = list.iter().find(|n| n.0 == "Supply 5 V 50 W").unwrap();
    assert!(supply.3.contains("2 for 41 W at 5 V, 80 % of 50 W each"), "{supply:?}");
}

/// What is at home counts once: the plan's own trees take 12 ties and 4 stakes of it, the build what is left.
#[test]
fn what_the_plan_uses_is_not_left_for_the_build() {
    let yard = yard("M-1,Trees,w-26,P-MINI,3,stake,4,4,no\nN-1,More trees,w-26,P-MINI,2,stake,2,4,yes\n");
    let list = needs(&yard, "2026-02-01T12:00");
    let of = |title: &str| list.iter().find(|n| n.0 == title).map_or(0, |n| n.1);
    assert_eq!((of("Ties"), of("Stake")), (3, 1), "8 of the 5 left, 2 of the 1 left: {list:#?}");
}

/// Lights off, no next season yet: last year's use is next year's, and dates that are past are no dates.
#[test]
fn in_january_the_list_is_for_next_year() {
    let yard = yard("M-1,Trees,w-26,P-MINI,5,stake,4,4,no\n");
    let mut app = yard.at("2026-08-01T12:00");
    app.perform(&Ask::AddNeed {
        title: "Ramp for the path".to_owned(),
        quantity: 1,
        need_by: Some("2026-10-01".to_owned()),
    })
    .unwrap();
    let list = needs(&yard, "2026-08-02T12:00");
    let ramp = |list: &[(String, i64, String, String)]| {
        list.iter().find(|n| n.0.starts_with("Ramp")).unwrap().clone()
    };
    assert_eq!(ramp(&list).2, "2026-10-01");
    let list = needs(&yard, "2027-01-10T12:00");
    let (_, _, by, why) = ramp(&list);
    assert!(by.is_empty() && why.contains("was for 1 Oct 2026, now for next year"), "{by} {why}");
    let ties = list.iter().find(|n| n.0 == "Ties").unwrap();
    assert_eq!((ties.1, ties.2.as_str()), (3, ""), "20 ties as this year, 17 on hand: {ties:?}");
    assert!(ties.3.contains("used as this year"), "{ties:?}");
}
