//! Places, props, products, pieces, boxes and links of the small yards.

use ladderday::domain::{
    Access, FallLine, FallLineId, Link, LinkId, LinkKind, Piece, PieceId, Place, PlaceId, Placement,
    PlacementId, Product, ProductId, Role, Words,
};

use super::Build;

impl Build {
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
            power_factor_pct: None,
        });
        id
    }

    pub fn piece(&mut self, code: &str, product_id: ProductId) -> PieceId {
        let id = PieceId(self.id());
        self.yard.pieces.push(Piece::plain(id, code.to_owned(), product_id));
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
}
