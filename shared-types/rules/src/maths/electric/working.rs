//! The list of steps while it is being built up.

use super::{BadLoad, Dwelling, Load, Method, Step, StepLabel};
use crate::tables::nec;
use crate::tables::units::FOOT;

/// Builds up the list of steps and refuses bad numbers.
pub(super) struct Working {
    steps: Vec<Step>,
}

impl Working {
    pub(super) fn new() -> Self {
        Working { steps: Vec::new() }
    }

    pub(super) fn add(
        &mut self,
        label: StepLabel,
        basis: f64,
        factor: f64,
        counts: bool,
    ) -> Result<f64, BadLoad> {
        let va = basis * factor;
        if !super::super::all_at_least_zero(&[basis, factor, va]) {
            return Err(BadLoad { what: label });
        }
        self.steps.push(Step {
            label,
            basis,
            factor,
            va,
            counts,
        });
        Ok(va)
    }

    /// Adds a step for each nameplate and gives their sum.
    pub(super) fn add_each(
        &mut self,
        label: StepLabel,
        nameplates: &[f64],
        counts: bool,
    ) -> Result<f64, BadLoad> {
        let mut sum = 0.0;
        for nameplate in nameplates {
            sum += self.add(label, *nameplate, 1.0, counts)?;
        }
        Ok(sum)
    }

    /// Splits `sum` at `limit`: the first part in full, the remainder at `factor`.
    pub(super) fn split(&mut self, sum: f64, limit: f64, factor: f64) -> Result<(), BadLoad> {
        self.add(StepLabel::GeneralSum, sum, 1.0, false)?;
        self.add(StepLabel::FirstPart, sum.min(limit), 1.0, true)?;
        self.add(StepLabel::Remainder, (sum - limit).max(0.0), factor, true)?;
        Ok(())
    }

    pub(super) fn total(mut self, method: Method) -> Result<Load, BadLoad> {
        let counted = self.steps.iter().filter(|step| step.counts);
        let sum = counted.map(|step| step.va).sum();
        let total = self.add(StepLabel::Total, sum, 1.0, false)?;
        Ok(Load {
            method,
            steps: self.steps,
            total,
        })
    }

    /// Lighting, small-appliance and laundry circuits, none counted by itself.
    pub(super) fn add_lighting(&mut self, dwelling: &Dwelling) -> Result<f64, BadLoad> {
        let square_feet = dwelling.floor_area / (FOOT * FOOT);
        let per_circuit = nec::CIRCUIT_LOAD.value;
        let small = f64::from(dwelling.small_appliance_circuits);
        let laundry = f64::from(dwelling.laundry_circuits);
        let lighting = nec::LIGHTING_PER_SQUARE_FOOT.value;
        Ok(
            self.add(StepLabel::GeneralLighting, square_feet, lighting, false)?
                + self.add(StepLabel::SmallAppliances, small, per_circuit, false)?
                + self.add(StepLabel::Laundry, laundry, per_circuit, false)?,
        )
    }

    /// Everything at its nameplate except heating and cooling, none counted by itself.
    pub(super) fn add_nameplates(&mut self, dwelling: &Dwelling) -> Result<f64, BadLoad> {
        Ok(self.add_lighting(dwelling)?
            + self.add_each(StepLabel::Range, &dwelling.ranges, false)?
            + self.add_each(StepLabel::Dryer, &dwelling.dryers, false)?
            + self.add_each(StepLabel::Appliance, &dwelling.appliances, false)?
            + self.add(StepLabel::Spa, dwelling.spa, 1.0, false)?)
    }

    /// The larger of heating and cooling counts; the other is shown and does not.
    pub(super) fn add_climate(
        &mut self,
        heating: &[(f64, f64)],
        cooling: f64,
    ) -> Result<(), BadLoad> {
        let warm: f64 = heating.iter().map(|(va, factor)| va * factor).sum();
        let heating_counts = warm >= cooling;
        for (va, factor) in heating {
            self.add(StepLabel::Heating, *va, *factor, heating_counts)?;
        }
        self.add(StepLabel::Cooling, cooling, 1.0, !heating_counts)?;
        Ok(())
    }
}
