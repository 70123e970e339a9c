//! What a placement stands for where leads are told: a prop is itself, a box is the piece that is put out.

use super::facts::Facts;
use crate::domain::{PieceId, PlacementId, Product, Role};

impl<'a> Facts<'a> {
    /// The product of a placement that puts out one box, supply or other thing that feeds or joins others.
    pub fn feeder(&self, placement: PlacementId) -> Option<&'a Product> {
        const FEEDS: [Role; 7] = [
            Role::Box,
            Role::Supply,
            Role::Controller,
            Role::Network,
            Role::Adaptor,
            Role::Player,
            Role::Lead,
        ];
        let placement = self.placement(placement).filter(|p| p.count <= 1)?;
        self.product_of(placement).filter(|p| FEEDS.contains(&p.role))
    }

    /// The piece that a placement stands for, where it is no lead that is laid.
    pub(super) fn box_of(&self, placement: PlacementId) -> Option<PieceId> {
        self.feeder(placement).filter(|p| p.role != Role::Lead)?;
        self.stands_for(placement)
    }

    /// The labelled piece that such a placement stands for.
    pub fn stands_for(&self, placement: PlacementId) -> Option<PieceId> {
        self.feeder(placement)?;
        match self.pieces_of(placement) {
            [piece] => Some(*piece),
            _ => None,
        }
    }
}
