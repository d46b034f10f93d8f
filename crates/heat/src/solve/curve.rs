//! Temperature along heat content, and the conductivity integral along temperature, stretch by stretch.
//!
//! The integral (Kirchhoff's) makes conduction between two nodes exact for any difference of temperature, so
//! that no average of two conductivities has to be chosen where one side is frozen and the other is not.

use crate::material::Material;

/// One straight stretch, told from an anchor on it. The outer ones have no end.
#[derive(Clone, Copy, Debug)]
struct Stretch {
    /// Heat content at the lower and the upper end.
    heat: [f64; 2],
    /// Temperature at the lower and the upper end, K; equal where a phase changes.
    temperature: [f64; 2],
    /// Heat content, temperature and conductivity integral at the anchor.
    anchor: [f64; 3],
    /// K per unit of heat content.
    slope: f64,
    /// Conductivity at the anchor and its change per K.
    conducts: [f64; 2],
}

/// A rising curve: at a point heat content, temperature, conductivity.
#[derive(Clone, Debug)]
pub(crate) struct Curve {
    stretches: Vec<Stretch>,
}

/// What a curve says at one place.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Conducts {
    /// Conductivity integral, W/m.
    pub(crate) integral: f64,
    /// Conductivity, W/(m K).
    pub(crate) conductivity: f64,
}

impl Stretch {
    fn conducts(&self, temperature: f64) -> Conducts {
        let rise = temperature - self.anchor[1];
        let [k, change] = self.conducts;
        Conducts {
            integral: self.anchor[2] + rise * (k + 0.5 * change * rise),
            conductivity: k + change * rise,
        }
    }
}

impl Curve {
    /// Through points of heat content, temperature and conductivity; the outer stretches go on, with
    /// the conductivity of the outermost points.
    fn new(points: &[[f64; 3]]) -> Self {
        let mut stretches = Vec::with_capacity(points.len() + 1);
        let mut integral = 0.0;
        for pair in points.windows(2) {
            let ([h0, t0, k0], [h1, t1, k1]) = (pair[0], pair[1]);
            let rise = t1 - t0;
            let change = if rise > 0.0 { (k1 - k0) / rise } else { 0.0 };
            stretches.push(Stretch {
                heat: [h0, h1],
                temperature: [t0, t1],
                anchor: [h0, t0, integral],
                slope: rise / (h1 - h0),
                conducts: [k0, change],
            });
            integral += 0.5 * rise * (k0 + k1);
        }
        let below = stretches.first().map(|first| Stretch {
            heat: [f64::NEG_INFINITY, first.heat[0]],
            temperature: [f64::NEG_INFINITY, first.temperature[0]],
            conducts: [first.conducts[0], 0.0],
            ..*first
        });
        let above = stretches.last().map(|last| Stretch {
            heat: [last.heat[1], f64::INFINITY],
            temperature: [last.temperature[1], f64::INFINITY],
            anchor: [last.heat[1], last.temperature[1], integral],
            slope: last.slope,
            conducts: [points[points.len() - 1][2], 0.0],
        });
        if let (Some(below), Some(above)) = (below, above) {
            stretches.insert(0, below);
            stretches.push(above);
        }
        Self { stretches }
    }

    /// Of a material, J/m³ above its heat content at a temperature.
    pub(crate) fn of(material: &Material, zero_at_k: f64) -> Self {
        let zero = material.enthalpy_at(zero_at_k);
        let points: Vec<[f64; 3]> = material
            .points()
            .iter()
            .map(|p| {
                [
                    material.density_kg_m3() * (p.enthalpy_j_kg - zero),
                    p.temperature_k,
                    p.conductivity_w_m_k,
                ]
            })
            .collect();
        Self::new(&points)
    }

    /// Of parts that share one temperature, each a curve and its volume. Conductivity has no meaning in it.
    pub(crate) fn together(parts: &[(&Curve, f64)]) -> Self {
        let mut corners: Vec<f64> = parts
            .iter()
            .flat_map(|(curve, _)| curve.stretches[1..].iter().map(|s| s.temperature[0]))
            .collect();
        corners.sort_by(f64::total_cmp);
        corners.dedup();
        let mut points: Vec<[f64; 3]> = Vec::with_capacity(2 * corners.len());
        for t in corners {
            let (mut low, mut high) = (0.0, 0.0);
            for (curve, volume) in parts {
                let [from, to] = curve.heats_at(t);
                low += volume * from;
                high += volume * to;
            }
            points.push([low, t, 1.0]);
            if high > low {
                points.push([high, t, 1.0]);
            }
        }
        Self::new(&points)
    }

    /// The least and the greatest heat content at a temperature; they differ where a phase changes.
    pub(crate) fn heats_at(&self, temperature: f64) -> [f64; 2] {
        let on = |s: &Stretch| {
            if temperature == s.temperature[1] {
                s.heat[1]
            } else {
                s.anchor[0] + (temperature - s.anchor[1]) / s.slope
            }
        };
        let first = self
            .stretches
            .partition_point(|s| s.temperature[1] < temperature);
        let low = &self.stretches[first.min(self.stretches.len() - 1)];
        let last = self
            .stretches
            .partition_point(|s| s.temperature[0] <= temperature);
        let high = &self.stretches[last.max(1) - 1];
        let upper = if temperature == high.temperature[0] {
            high.heat[0]
        } else {
            on(high)
        };
        [on(low), upper]
    }

    /// Whether a phase changes at one temperature within a range of temperatures.
    pub(crate) fn stands_still(&self, low: f64, high: f64) -> bool {
        self.stretches
            .iter()
            .any(|s| s.slope == 0.0 && s.temperature[0] >= low && s.temperature[0] <= high)
    }

    /// The greatest change with heat content of temperature and of the conductivity integral in a range of
    /// temperatures.
    pub(crate) fn steepest(&self, [low, high]: [f64; 2]) -> [f64; 2] {
        let mut steepest = [0.0_f64; 2];
        let within = |s: &&Stretch| s.temperature[0] <= high && s.temperature[1] >= low;
        for stretch in self.stretches.iter().filter(within) {
            steepest[0] = steepest[0].max(stretch.slope);
            for end in stretch.temperature {
                let k = stretch.conducts(end.clamp(low, high)).conductivity;
                steepest[1] = steepest[1].max(stretch.slope * k);
            }
        }
        steepest
    }

    /// Temperature, K, its change per unit of heat content, and conduction; `at` remembers the stretch.
    pub(crate) fn look(&self, heat: f64, at: &mut u32) -> (f64, f64, Conducts) {
        let mut i = *at as usize;
        while heat > self.stretches[i].heat[1] {
            i += 1;
        }
        while heat < self.stretches[i].heat[0] {
            i -= 1;
        }
        *at = i as u32;
        let stretch = &self.stretches[i];
        let temperature = stretch.anchor[1] + (heat - stretch.anchor[0]) * stretch.slope;
        (temperature, stretch.slope, stretch.conducts(temperature))
    }

    /// Conduction at a temperature; `at` remembers the stretch.
    pub(crate) fn conducts_at(&self, temperature: f64, at: &mut u32) -> Conducts {
        let mut i = *at as usize;
        while temperature > self.stretches[i].temperature[1] {
            i += 1;
        }
        while temperature < self.stretches[i].temperature[0] {
            i -= 1;
        }
        *at = i as u32;
        self.stretches[i].conducts(temperature)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::Phase;

    fn ice_and_water() -> Material {
        let solid = Phase {
            heat_capacity_j_kg_k: 2_000.0,
            conductivity_w_m_k: 2.2,
        };
        let liquid = Phase {
            heat_capacity_j_kg_k: 4_200.0,
            conductivity_w_m_k: 0.56,
        };
        Material::melting(1_000.0, solid, liquid, 273.15, 333_600.0).unwrap()
    }

    /// Heat content there and back, on both sides of a change of phase and beyond the points.
    #[test]
    fn temperature_and_heat_content_agree() {
        let curve = Curve::of(&ice_and_water(), 263.15);
        let mut at = 0;
        for t in [50.0, 200.0, 263.15, 273.15, 290.0, 3_000.0] {
            let [low, high] = curve.heats_at(t);
            assert!((curve.look(low, &mut at).0 - t).abs() < 1e-9, "{t}");
            assert!((curve.look(high, &mut at).0 - t).abs() < 1e-9, "{t}");
        }
        let [low, high] = curve.heats_at(273.15);
        assert!((low - 2e7).abs() < 1.0, "10 K times 2 MJ/(m³ K)");
        assert!((high - low - 333.6e6).abs() < 1.0);
        assert!(curve.heats_at(263.15)[0].abs() < 1e-6);
    }

    /// 10 K of ice and 5 K of water: 10·2.2 + 5·0.56.
    #[test]
    fn the_integral_passes_a_jump_of_conductivity() {
        let curve = Curve::of(&ice_and_water(), 273.15);
        let mut at = 0;
        let warm = curve.conducts_at(278.15, &mut at).integral;
        let cold = curve.conducts_at(263.15, &mut at).integral;
        assert!((warm - cold - 24.8).abs() < 1e-9);
    }

    /// Half a litre of each of two: capacities add, and the change of phase keeps its heat.
    #[test]
    fn parts_at_one_temperature_add_up() {
        let plain = Material::constant(
            2_000.0,
            Phase {
                heat_capacity_j_kg_k: 800.0,
                conductivity_w_m_k: 1.0,
            },
        )
        .unwrap();
        let (a, b) = (
            Curve::of(&ice_and_water(), 263.15),
            Curve::of(&plain, 263.15),
        );
        let both = Curve::together(&[(&a, 0.25), (&b, 0.75)]);
        for t in [20.0, 260.0, 273.15, 280.0, 2_500.0] {
            let expect = |end: usize| 0.25 * a.heats_at(t)[end] + 0.75 * b.heats_at(t)[end];
            for end in [0, 1] {
                let found = both.heats_at(t)[end];
                assert!((found - expect(end)).abs() < 1e-6 * expect(end).abs().max(1.0));
            }
        }
        assert!(both.stands_still(263.0, 283.0));
        assert!(!both.stands_still(274.0, 283.0));
    }
}
