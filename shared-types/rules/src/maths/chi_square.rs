//! The chi-square distribution: how often a sum of squared standard normal variables exceeds a value.
//!
//! By the series and the continued fraction of the incomplete gamma function (Abramowitz and Stegun 6.5.29 and
//! 6.5.31, from memory); checked against scipy in `tests/tests/oracles`.

/// Terms after which either expansion is given up; 100 degrees of freedom need about 60.
const MOST_TERMS: u32 = 10_000;

/// The probability that the sum of `degrees` squared standard normal variables is above `value`.
///
/// 1 for a value of at most 0 and for no degrees of freedom where the value is 0; a value that is not a number gives
/// 0, which never speaks for a good fit.
///
/// ```
/// use setdown_rules::maths::chi_square::probability_above;
/// // The 95 % point of one degree of freedom is 1.959964².
/// assert!((probability_above(3.841_458_820_694_124, 1) - 0.05).abs() < 1e-12);
/// ```
pub fn probability_above(value: f64, degrees: u32) -> f64 {
    if value.is_nan() {
        return 0.0;
    }
    if value <= 0.0 {
        return 1.0;
    }
    if degrees == 0 || value.is_infinite() {
        return 0.0;
    }
    let (shape, x) = (f64::from(degrees) / 2.0, value / 2.0);
    let scale = libm::exp(shape * libm::log(x) - x - libm::lgamma(shape));
    if x < shape + 1.0 {
        (1.0 - scale * series(shape, x)).clamp(0.0, 1.0)
    } else {
        (scale * fraction(shape, x)).clamp(0.0, 1.0)
    }
}

fn series(shape: f64, x: f64) -> f64 {
    let (mut term, mut sum, mut next) = (1.0 / shape, 1.0 / shape, shape);
    for _ in 0..MOST_TERMS {
        next += 1.0;
        term *= x / next;
        sum += term;
        if term <= sum * 1e-17 {
            break;
        }
    }
    sum
}

/// The continued fraction, by Lentz's method.
fn fraction(shape: f64, x: f64) -> f64 {
    const TINY: f64 = 1e-300;
    let mut b = x + 1.0 - shape;
    let mut c = 1.0 / TINY;
    let mut d = 1.0 / b;
    let mut product = d;
    for step in 1..=MOST_TERMS {
        let step = f64::from(step);
        let a = -step * (step - shape);
        b += 2.0;
        d = not_zero(a * d + b, TINY);
        c = not_zero(b + a / c, TINY);
        d = 1.0 / d;
        product *= d * c;
        if (d * c - 1.0).abs() < 1e-15 {
            break;
        }
    }
    product
}

fn not_zero(value: f64, instead: f64) -> f64 {
    if value.abs() < instead {
        instead
    } else {
        value
    }
}
