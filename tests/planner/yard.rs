//! Small yards made by hand: a season, places, props by method, boxes, people, sessions, ladders, ticks.

use chrono::{DateTime, NaiveDate, NaiveDateTime, Utc};
use ladderday::domain::{
    Access, Applies, BoxMode, Condition, CureRule, DeskTask, DeskTaskId, Duty, DutyId, DutyKind, FallLine,
    FallLineId, Fault, FaultId, Link, LinkId, LinkKind, Method, MethodId, Moment, Person, PersonId, Phase,
    Piece, PieceId, Place, PlaceId, Placement, PlacementId, Product, ProductId, RecipeAccess, RecipeLight,
    RecipeStep, RecipeStepId, Role, Season, SeasonId, Session, SessionId, SessionPerson, SessionPersonId,
    Site, SiteId, StepDeed, Terms, Tick, TickId, TickKind, WaitKind, Words, Yard,
};
use ladderday::planner::{Effort, Plan, Request, make_plan};
use ladderday::steps::{Derived, Facts, Scope, Step, StepKey, derive};
use ladderday::units::{Angle, Span, Speed, System, Temperature};
use uuid::Uuid;

/// One recipe step a line: code, phase, deed, then what it asks for. `f` and `p` are seconds for the whole and a
/// piece, `h` hands, `w` a wait in minutes with its kind, a word with `!` a caution.
const RECIPES: &str = "
stake.bench bench bench_test f1200 p60 bench indoors !mains
stake.mark up mark f120 ground twilight
stake.drive up drive f300 ground twilight unfrozen tool=post_driver !buried
stake.set up set f60 p120 ground lamp
stake.tie up tie f60 p60 ground lamp min=-15
stake.connect up connect f60 p90 ground lamp off !supply_off
stake.test up test f120 p20 ground lamp on !mains
stake.disconnect down disconnect f60 p45 ground lamp off !supply_off
stake.lift down lower f60 p60 ground lamp
stake.pull down pull f300 ground twilight unfrozen
stake.dry down dry f60 p20 ground lamp w1440dry seasonal after=stake.lift
stake.pack down pack f120 p60 bench indoors seasonal
hooks.fix once make f900 place day alone tool=hammer_drill
hooks.look once look_over f180 place access
hooks.bench bench bench_test f1200 bench indoors !mains
hooks.light up ground_light f240 ground lamp above_reach !mains
hooks.hang up hang f600 p120 place access same_day alone gust=10
hooks.connect up connect f120 ground lamp off !supply_off
hooks.test up test f180 ground lamp on !mains
hooks.disconnect down disconnect f120 ground lamp off !supply_off
hooks.unhook down lower f600 place access seasonal alone
hooks.care down care f180 place access permanent
hooks.dry down dry f120 ground lamp w2880dry seasonal
hooks.pack down pack f180 bench indoors seasonal
roof_strap.seal once make f1800 roof day w2880cure cure=adhesive min=10 skill=roof !adhesive
roof_strap.bench bench bench_test f900 bench indoors !mains
roof_strap.light up ground_light f240 ground lamp above_reach !mains
roof_strap.fit up raise f1200 roof day same_day gust=10 skill=roof
roof_strap.connect up connect f120 ground lamp off !supply_off
roof_strap.test up test f180 ground lamp on !mains
roof_strap.disconnect down disconnect f120 ground lamp off !supply_off
roof_strap.off down lower f1200 roof day skill=roof
roof_strap.pack down pack f180 bench indoors
mast.bench bench bench_test f900 bench indoors !mains
mast.anchors up drive f1200 ground twilight unfrozen !buried
mast.head up prepare f1800 ground twilight h2
mast.raise up raise f1800 ground day h3 within=240 gust=6 dry !mast
mast.guys up tension f1200 ground day h2 !guys
mast.connect up connect f300 ground lamp off !supply_off
mast.test up test f600 ground lamp w1440other on !mains
mast.again up tension f1200 ground twilight h2 !guys
mast.disconnect down disconnect f300 ground lamp off !supply_off
mast.walk down lower f2400 ground day h3 !mast
mast.pack down pack f600 bench indoors
box.bench bench bench_test f3600 bench indoors !mains
box.hang up hang f900 place access
box.outputs up set f600 ground lamp
box.power up power f300 ground lamp !mains
box.disconnect down disconnect f180 ground lamp !supply_off
box.off down lower f600 place access
box.dry down dry f60 ground lamp w1440dry
box.pack down pack f300 bench indoors
flood.bench bench bench_test f600 bench indoors !mains
flood.set up set f300 ground lamp
flood.connect up connect f90 ground lamp off !supply_off
flood.test up test f120 ground lamp on !mains
flood.aim up adjust f300 ground dark on
flood.disconnect down disconnect f60 ground lamp off !supply_off
flood.off down lower f120 ground lamp
flood.pack down pack f120 bench indoors
cable.lay up set f600 ground lamp
cable.label up other f120 ground lamp
cable.coil down release f600 ground lamp
";

#[derive(Clone)]
pub struct Build {
    pub yard: Yard,
    next: u128,
}

/// As `2026-11-07T09:00`.
pub fn local(text: &str) -> NaiveDateTime {
    NaiveDateTime::parse_from_str(text, "%Y-%m-%dT%H:%M").unwrap()
}

pub fn day(text: &str) -> NaiveDate {
    NaiveDate::parse_from_str(text, "%Y-%m-%d").unwrap()
}

/// As `2026-11-07T09:00:00-05:00`.
pub fn utc(text: &str) -> DateTime<Utc> {
    DateTime::parse_from_rfc3339(text).unwrap().with_timezone(&Utc)
}

impl Build {
    /// A season with dates, a site with a position, and recipes; no places, props, people, sessions or tools.
    pub fn new() -> Self {
        let mut b = Self { yard: Yard::default(), next: 1 };
        let id = SiteId(b.id());
        b.yard.sites.push(Site {
            id,
            ended_at: None,
            name: "Yard".to_owned(),
            latitude_udeg: Some(Angle::from_udeg(41_500_000)),
            longitude_udeg: Some(Angle::from_udeg(-81_600_000)),
            time_zone: Some("America/New_York".to_owned()),
            units: System::Us,
            terms: Terms::Us,
            currency: "USD".to_owned(),
            level_limit_pct: None,
            level_limit_in: None,
            frame_rate_hz: None,
            show_network: None,
            home_network: None,
            place_minutes: Some(5),
            ladder_minutes: Some(10),
            drying_slots: None,
            roof_max_gust_mms: None,
            energy_cents_per_kwh: None,
            reading_limit_pct: None,
            wind_method: None,
            wind_exposure: None,
            design_gust_mms: None,
        });
        b.season("winter-2026", "2026-11-27T17:00", "2027-01-03");
        b.recipes();
        b
    }

    pub fn id(&mut self) -> Uuid {
        self.next += 1;
        Uuid::from_u128(self.next)
    }

    /// The season that `new` made.
    pub fn winter(&self) -> SeasonId {
        self.yard.seasons[0].id
    }

    /// A season with its rehearsal four days and a few hours before lights on.
    pub fn season(&mut self, code: &str, on: &str, off: &str) -> SeasonId {
        let id = SeasonId(self.id());
        let on = local(on);
        self.yard.seasons.push(Season {
            id,
            ended_at: None,
            code: code.to_owned(),
            name: code.to_owned(),
            show: code.split('-').next().unwrap().to_owned(),
            lights_on: Some(on),
            lights_off: Some(day(off)),
            rehearsal: Some(on - chrono::Duration::hours(100)),
            rehearsal_dark: Some(on - chrono::Duration::minutes(95 * 60 + 30)),
            work_from: None,
            down_from: day(off).succ_opt(),
            nightly_from: None,
            nightly_to: None,
            buffer_days: 4,
            average_level_pct: None,
            budget_cents: None,
            closed_on: None,
            note: String::new(),
            numbering: None,
        });
        id
    }

    fn recipes(&mut self) {
        for (position, line) in RECIPES.lines().filter(|l| !l.is_empty()).enumerate() {
            let mut words = line.split(' ');
            let code = words.next().unwrap();
            let method = self.method_or_new(code.split('.').next().unwrap());
            let phase = Phase::from_text(words.next().unwrap()).unwrap();
            let deed = StepDeed::from_text(words.next().unwrap()).unwrap();
            let mut r = RecipeStep {
                id: RecipeStepId(self.id()),
                ended_at: None,
                code: code.to_owned(),
                method_id: method,
                position: position as i64,
                phase,
                deed,
                title: format!("{deed:?} ({code})"),
                fixed_s: Span::from_s(0),
                piece_s: Span::from_s(0),
                metre_s: Span::from_s(0),
                stake_s: Span::from_s(0),
                hands: 1,
                skills: Words::default(),
                equipment: Words::default(),
                access: RecipeAccess::Ground,
                light: RecipeLight::Access,
                wait_s: Span::from_s(0),
                wait_kind: None,
                cure_rule: None,
                within_s: None,
                same_day: false,
                min_mc: None,
                max_gust_mms: None,
                dry: false,
                unfrozen: false,
                not_alone: false,
                box_mode: None,
                applies: Applies::Always,
                after: Words::default(),
                cautions: Words::default(),
                every: None,
            };
            let mut cautions = Vec::new();
            for word in words {
                if let Some(caution) = word.strip_prefix('!') {
                    cautions.push(caution);
                } else {
                    ask(&mut r, word);
                }
            }
            r.cautions = Words::of(&cautions.join(" "));
            self.yard.recipe_steps.push(r);
        }
    }

    fn method_or_new(&mut self, code: &str) -> MethodId {
        if let Some(m) = self.yard.methods.iter().find(|m| m.code == code) {
            return m.id;
        }
        let id = MethodId(self.id());
        self.yard.methods.push(Method {
            id,
            ended_at: None,
            code: code.to_owned(),
            name: code.to_owned(),
            also: String::new(),
            stays: false,
            note: String::new(),
        });
        id
    }

    pub fn method(&self, code: &str) -> MethodId {
        self.yard.methods.iter().find(|m| m.code == code).unwrap().id
    }

    pub fn place(&mut self, code: &str, access: Access) -> PlaceId {
        let id = PlaceId(self.id());
        self.yard.places.push(Place {
            id,
            ended_at: None,
            code: code.to_owned(),
            name: code.to_owned(),
            parent_id: None,
            access: Some(access),
            height_mm: None,
            map_x_mm: None,
            map_y_mm: None,
            indoors: false,
            cautions: Words::default(),
            note: String::new(),
        });
        id
    }

    pub fn above(&mut self, upper: PlaceId, lower: PlaceId) {
        let id = FallLineId(self.id());
        let line = FallLine { id, ended_at: None, upper_place_id: upper, lower_place_id: lower };
        self.yard.fall_lines.push(line);
    }

    /// A placement of one piece of the winter season; what else it is, by `placement`.
    pub fn prop(&mut self, name: &str, place: PlaceId, method: &str) -> PlacementId {
        let id = PlacementId(self.id());
        let season_id = self.winter();
        let method_id = Some(self.method(method));
        self.yard.placements.push(Placement {
            id,
            ended_at: None,
            code: name.to_owned(),
            name: name.to_owned(),
            season_id,
            product_id: None,
            piece_id: None,
            count: 1,
            place_id: Some(place),
            method_id,
            mount_id: None,
            carried_by_id: None,
            permanent: false,
            worth: 3,
            length_mm: None,
            stakes: None,
            height_mm: None,
            measures: String::new(),
            photo_id: None,
            wished: false,
            held_why: None,
            cautions: Words::default(),
            note: String::new(),
        });
        id
    }

    pub fn placement(&mut self, id: PlacementId) -> &mut Placement {
        self.yard.placements.iter_mut().find(|p| p.id == id).unwrap()
    }

    pub fn product(&mut self, code: &str, role: Role, serves_as: Option<&str>) -> ProductId {
        let id = ProductId(self.id());
        self.yard.products.push(Product {
            id,
            ended_at: None,
            code: code.to_owned(),
            name: code.to_owned(),
            kind: String::new(),
            role,
            serves_as: serves_as.map(str::to_owned),
            volts_mv: None,
            load_model: None,
            pixels: Some(50),
            pixel_ma: None,
            pixel_mw: None,
            cutoff_mv: None,
            knee_mv: None,
            off_mv: None,
            lowest_mv: None,
            load_mw: None,
            chip: None,
            channels_per_pixel: None,
            pitch_mm: None,
            wire: None,
            length_mm: None,
            output_mv: None,
            rated_mw: None,
            efficiency_pct: None,
            ports: None,
            port_pixels: None,
            fuse_ma: None,
            ip_class: None,
            width_mm: None,
            height_mm: None,
            depth_mm: None,
            mass_g: None,
            max_load_g: None,
            solid_pct: None,
            counted: false,
            keep_from_frost: false,
            min_handling_mc: None,
            cautions: Words::default(),
            note: String::new(),
            startup_ma: None,
        });
        id
    }

    pub fn piece(&mut self, code: &str, product_id: ProductId) -> PieceId {
        let id = PieceId(self.id());
        self.yard.pieces.push(Piece {
            id,
            ended_at: None,
            code: code.to_owned(),
            product_id,
            name: String::new(),
            batch: String::new(),
            condition: Condition::Good,
            home_id: None,
            got_on: None,
            source: String::new(),
            price_cents: None,
            tag_mv: None,
            in_plug: None,
            out_plug: None,
            address: None,
            firmware: None,
            length_mm: None,
            looked_over_on: None,
            note: String::new(),
        });
        id
    }

    /// A box that hangs at `place` this season.
    pub fn boxed(&mut self, code: &str, place: PlaceId) -> (PieceId, PlacementId) {
        let product = self.product(code, Role::Box, None);
        let piece = self.piece(code, product);
        let placement = self.prop(code, place, "box");
        self.placement(placement).piece_id = Some(piece);
        (piece, placement)
    }

    /// A labelled prop.
    pub fn pieced(&mut self, name: &str, place: PlaceId, method: &str) -> (PieceId, PlacementId) {
        let product = self.product(name, Role::Prop, None);
        let piece = self.piece(name, product);
        let placement = self.prop(name, place, method);
        self.placement(placement).piece_id = Some(piece);
        (piece, placement)
    }

    /// One ladder or tool that answers `word`.
    pub fn own(&mut self, code: &str, role: Role, word: &str) -> PieceId {
        let product = self.product(code, role, Some(word));
        self.piece(code, product)
    }

    pub fn feeds(&mut self, from: PieceId, to: PlacementId) {
        self.link(LinkKind::Data, Some(from), None, Some(to), None);
    }

    pub fn link(
        &mut self,
        kind: LinkKind,
        from_piece_id: Option<PieceId>,
        to_piece_id: Option<PieceId>,
        to_placement_id: Option<PlacementId>,
        lead_id: Option<PieceId>,
    ) {
        let id = LinkId(self.id());
        self.yard.links.push(Link {
            id,
            ended_at: None,
            code: format!("L{}", self.next),
            kind,
            season_id: None,
            from_outlet_id: None,
            from_piece_id,
            from_placement_id: None,
            from_port: None,
            to_piece_id,
            to_placement_id,
            to_end: None,
            at_pixel: None,
            lead_id,
            wire: None,
            length_mm: None,
            fuse_ma: None,
            colour: String::new(),
            start_universe: None,
            start_slot: None,
            card_stale: false,
            note: String::new(),
            minus_joined: None,
            pixel_split: None,
            plus_cut: None,
        });
    }

    pub fn person(&mut self, name: &str, skills: &str) -> PersonId {
        let id = PersonId(self.id());
        self.yard.people.push(Person {
            id,
            ended_at: None,
            code: name.to_owned(),
            name: name.to_owned(),
            skills: Words::of(skills),
            mass_g: None,
            note: String::new(),
        });
        id
    }

    /// A session with work lights, of everyone where `who` is empty.
    pub fn session(&mut self, from: &str, to: &str, who: &[PersonId]) -> SessionId {
        let id = SessionId(self.id());
        self.yard.sessions.push(Session {
            id,
            ended_at: None,
            code: format!("S{from}"),
            starts: local(from),
            ends: local(to),
            work_lights: true,
            visitor: String::new(),
            forecast_on: None,
            rain: None,
            snow: None,
            ice: None,
            frozen: None,
            gust_mms: None,
            low_mc: None,
            lost: false,
            note: String::new(),
        });
        for person_id in who {
            let row = SessionPersonId(self.id());
            self.yard.session_people.push(SessionPerson {
                id: row,
                ended_at: None,
                session_id: id,
                person_id: *person_id,
                comes: None,
                goes: None,
            });
        }
        id
    }

    /// Saturdays and Sundays of October and November before the rehearsal, nine to four, and the rehearsal's and the
    /// first evening.
    pub fn weekends(&mut self, who: &[PersonId]) {
        for date in ["10-24", "10-25", "10-31", "11-01", "11-07", "11-08", "11-14", "11-15", "11-21", "11-22"]
        {
            self.session(&format!("2026-{date}T09:00"), &format!("2026-{date}T16:30"), who);
        }
        self.session("2026-11-23T12:00", "2026-11-23T22:00", who);
        self.session("2026-11-27T16:00", "2026-11-27T19:00", who);
    }

    pub fn tick(&mut self, key: &StepKey, kind: TickKind, at: Option<&str>) -> &mut Tick {
        let id = TickId(self.id());
        let at_ms = at.map(|t| Moment(utc(t).timestamp_millis()));
        self.yard.ticks.push(Tick {
            id,
            ended_at: None,
            step_key: key.to_string(),
            kind,
            at_ms,
            began_ms: None,
            person_id: None,
            session_id: None,
            season_id: None,
            placement_id: None,
            recipe_step: String::new(),
            done_count: None,
            of_count: None,
            title: String::new(),
            planned_s: None,
            taken_s: None,
            bunched: false,
            cautions: Words::default(),
            why: String::new(),
        });
        self.yard.ticks.last_mut().unwrap()
    }

    pub fn desk(&mut self, title: &str, minutes: i64, after: Option<PlacementId>) {
        let id = DeskTaskId(self.id());
        let season_id = self.winter();
        self.yard.desk_tasks.push(DeskTask {
            id,
            ended_at: None,
            code: title.to_owned(),
            season_id,
            title: title.to_owned(),
            minutes_s: Span::from_minutes(minutes),
            placement_id: after,
            after_placement: after.is_some(),
            due_on: None,
            skills: Words::default(),
            note: String::new(),
        });
    }

    /// A buried-line request whose answer takes three days.
    pub fn buried_lines(&mut self) {
        let id = DutyId(self.id());
        let season_id = self.winter();
        self.yard.duties.push(Duty {
            id,
            ended_at: None,
            code: "lines".to_owned(),
            season_id,
            title: "Ask for buried lines".to_owned(),
            kind: DutyKind::BuriedLines,
            opens_on: None,
            due_on: None,
            expires_on: None,
            lead_days: Some(3),
            minutes_s: Span::from_minutes(15),
            note: String::new(),
        });
    }

    pub fn fault(&mut self, piece: PieceId) -> FaultId {
        let id = FaultId(self.id());
        self.yard.faults.push(Fault {
            id,
            ended_at: None,
            code: "F1".to_owned(),
            piece_id: Some(piece),
            placement_id: None,
            season_id: None,
            symptom: "dark".to_owned(),
            at_pixel: None,
            segment: None,
            found_ms: Moment(0),
            person_id: None,
            weather: String::new(),
            dark_hours: None,
            note: String::new(),
        });
        id
    }

    pub fn steps(&self, phase: Phase) -> Vec<Step> {
        derived(&self.yard, self.winter(), phase).steps
    }

    /// A plan of the winter season with few schedules.
    pub fn plan(&self, phase: Phase, now: &str) -> Plan {
        plan(&self.yard, self.winter(), phase, utc(now), 1)
    }
}

fn ask(r: &mut RecipeStep, word: &str) {
    let number = |from: usize| word[from..].parse::<i64>().unwrap();
    match word {
        "place" | "ground" | "step_ladder" | "extension_ladder" | "roof" | "bench" => {
            r.access = RecipeAccess::from_text(word).unwrap();
        }
        "access" | "day" | "twilight" | "lamp" | "dark" | "indoors" => {
            r.light = RecipeLight::from_text(word).unwrap();
        }
        "same_day" => r.same_day = true,
        "dry" => r.dry = true,
        "unfrozen" => r.unfrozen = true,
        "alone" => r.not_alone = true,
        "off" | "on" => r.box_mode = BoxMode::from_text(word),
        "seasonal" | "permanent" | "above_reach" => r.applies = Applies::from_text(word).unwrap(),
        _ if word.starts_with("skill=") => r.skills = Words::of(&word[6..]),
        _ if word.starts_with("tool=") => r.equipment = Words::of(&word[5..]),
        _ if word.starts_with("after=") => r.after = Words::of(&word[6..]),
        _ if word.starts_with("cure=") => r.cure_rule = CureRule::from_text(&word[5..]),
        _ if word.starts_with("within=") => r.within_s = Some(Span::from_minutes(number(7))),
        _ if word.starts_with("min=") => r.min_mc = Some(Temperature::from_mc(number(4) * 1000)),
        _ if word.starts_with("gust=") => r.max_gust_mms = Some(Speed::from_mms(number(5) * 1000)),
        _ if word.starts_with('w') => {
            let (minutes, kind) = word[1..].split_at(4);
            r.wait_s = Span::from_minutes(minutes.parse().unwrap());
            r.wait_kind = Some(WaitKind::from_text(kind).unwrap());
        }
        _ if word.starts_with('f') => r.fixed_s = Span::from_s(number(1)),
        _ if word.starts_with('p') => r.piece_s = Span::from_s(number(1)),
        _ if word.starts_with('h') => r.hands = number(1),
        other => panic!("no recipe word {other}"),
    }
}

pub fn derived(yard: &Yard, season: SeasonId, phase: Phase) -> Derived {
    derive(&Facts::new(yard), Scope { season, phase, day: day("2026-12-04") }).unwrap()
}

pub fn plan(yard: &Yard, season: SeasonId, phase: Phase, now: DateTime<Utc>, seed: u64) -> Plan {
    plan_kept(yard, season, phase, now, seed, &[])
}

pub fn plan_kept(
    yard: &Yard,
    season: SeasonId,
    phase: Phase,
    now: DateTime<Utc>,
    seed: u64,
    kept: &[StepKey],
) -> Plan {
    let facts = Facts::new(yard);
    let derived = derived(yard, season, phase);
    let season = facts.season(season).unwrap();
    let request = Request { facts: &facts, derived: &derived, season, phase, now, seed, kept };
    make_plan(&request, Effort { schedules: 60, stop: &|| false, progress: &|_| () })
}

/// What `check` finds, one line each.
pub fn breaches(yard: &Yard, season: SeasonId, plan: &Plan) -> Vec<String> {
    found(yard, season, plan).into_iter().map(|b| format!("{} {}: {}", b.code, b.key, b.what)).collect()
}

pub fn found(yard: &Yard, season: SeasonId, plan: &Plan) -> Vec<ladderday::planner::check::Breach> {
    let facts = Facts::new(yard);
    let derived = derived(yard, season, plan.phase);
    let season = facts.season(season).unwrap();
    ladderday::planner::check::check(plan, &facts, &derived, season, plan.now)
}
