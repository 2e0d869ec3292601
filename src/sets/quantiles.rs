//! Quantiles of the distributions that small samples follow, by their regularised incomplete functions.
//!
//! Power series and continued fractions as in the NIST Digital Library of Mathematical Functions (8.7.1, 8.9.2, 8.17.22;
//! from memory), the logarithm of the gamma function by Lanczos' approximation (g = 7, nine terms; from memory).

const LANCZOS_G: f64 = 7.0;
const LANCZOS: [f64; 9] = [
    0.999_999_999_999_809_9,
    676.520_368_121_885_1,
    -1_259.139_216_722_402_8,
    771.323_428_777_653_1,
    -176.615_029_162_140_6,
    12.507_343_278_686_905,
    -0.138_571_095_265_720_12,
    9.984_369_578_019_572e-6,
    1.505_632_735_149_311_6e-7,
];
/// Terms of a series or a fraction; with the degrees of freedom allowed here it takes far fewer.
const MOST_TERMS: usize = 1000;
/// More degrees of freedom than this make no difference to a reader.
const MOST_FREEDOM: f64 = 1e4;

/// Logarithm of the gamma function, for `x >= 0.5`.
fn ln_gamma(x: f64) -> f64 {
    let x = x - 1.0;
    let t = x + LANCZOS_G + 0.5;
    let sum: f64 = LANCZOS[0] + (1..9).map(|k| LANCZOS[k] / (x + k as f64)).sum::<f64>();
    0.5 * (2.0 * std::f64::consts::PI).ln() + (x + 0.5) * t.ln() - t + sum.ln()
}

/// Regularised lower incomplete gamma function `P(a, x)`.
fn lower_gamma(a: f64, x: f64) -> f64 {
    if x <= 0.0 {
        return 0.0;
    }
    let (mut term, mut sum) = (1.0 / a, 1.0 / a);
    for k in 1..MOST_TERMS {
        term *= x / (a + k as f64);
        sum += term;
        if term < sum * f64::EPSILON {
            break;
        }
    }
    (sum * (a * x.ln() - x - ln_gamma(a)).exp()).min(1.0)
}

/// Regularised incomplete beta function `I_x(a, b)`, for `x` from 0 to 1.
fn incomplete_beta(x: f64, a: f64, b: f64) -> f64 {
    if x > (a + 1.0) / (a + b + 2.0) {
        return 1.0 - incomplete_beta(1.0 - x, b, a);
    }
    if x <= 0.0 {
        return 0.0;
    }
    let front = (a * x.ln() + b * (-x).ln_1p() + ln_gamma(a + b) - ln_gamma(a) - ln_gamma(b)).exp() / a;
    front / beta_fraction(x, a, b)
}

/// The continued fraction 1 + d1/(1 + d2/(1 + ...)) by Lentz's method.
fn beta_fraction(x: f64, a: f64, b: f64) -> f64 {
    const TINY: f64 = 1e-300;
    let (mut value, mut up, mut down) = (1.0, 1.0, 0.0);
    for k in 1..MOST_TERMS {
        let m = (k / 2) as f64;
        let d = if k % 2 == 0 {
            m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m))
        } else {
            -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0))
        };
        down = 1.0 / nonzero(1.0 + d * down, TINY);
        up = nonzero(1.0 + d / up, TINY);
        value *= up * down;
        if (up * down - 1.0).abs() < 4.0 * f64::EPSILON {
            break;
        }
    }
    value
}

fn nonzero(x: f64, tiny: f64) -> f64 {
    if x.abs() < tiny { tiny } else { x }
}

/// The place where a rising function of positive numbers passes `share`.
fn inverse(share: f64, rising: &dyn Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    while rising(high) < share && high < 1e9 {
        (low, high) = (high, 2.0 * high);
    }
    while high - low > 1e-14 * high {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            break;
        }
        if rising(middle) < share { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

/// Quantile of Student's t distribution for a share from 0.5 to 1, with any positive degrees of freedom.
pub fn t_quantile(share: f64, freedom: f64) -> f64 {
    let freedom = freedom.clamp(1e-3, MOST_FREEDOM);
    let below = |t: f64| 1.0 - 0.5 * incomplete_beta(freedom / (freedom + t * t), 0.5 * freedom, 0.5);
    inverse(share, &below)
}

/// Quantile of the chi-square distribution for a share from 0 to 1.
pub fn chi_square_quantile(share: f64, freedom: f64) -> f64 {
    inverse(share, &|x| lower_gamma(0.5 * freedom.min(MOST_FREEDOM), 0.5 * x))
}

/// Factors of the 95 % interval of a standard deviation from `count` (at least 2) normal values: its true size lies
/// between the first and the second times the one found.
pub fn sd_factors(count: usize) -> (f64, f64) {
    let freedom = count.saturating_sub(1).max(1) as f64;
    let factor = |share: f64| (freedom / chi_square_quantile(share, freedom)).sqrt();
    (factor(0.975), factor(0.025))
}

/// Interval of a share from `hits` of `trials`, after Wilson 1927 (without correction for continuity).
pub fn wilson(hits: usize, trials: usize, confidence: f64) -> (f64, f64) {
    let z2 = chi_square_quantile(confidence, 1.0);
    let n = trials.max(1) as f64;
    let share = hits as f64 / n;
    let middle = share + z2 / (2.0 * n);
    let half = (z2 * (share * (1.0 - share) / n + z2 / (4.0 * n * n))).sqrt();
    ((middle - half) / (1.0 + z2 / n), (middle + half) / (1.0 + z2 / n))
}
