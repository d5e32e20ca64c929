//! Lengths in a row: by hand, by moving every length through its limits, and by random assemblies.

use fitledger::pair::{Member, PairError, StackLink, Stacked, stack};
use fitledger::quantity::Length;
use proptest::prelude::*;

fn um(um: i64) -> Length {
    Length::from_um(um)
}

fn link(takes: bool, lower: i64, upper: i64) -> StackLink {
    StackLink {
        takes,
        limits: (um(lower), um(upper)),
        measured: None,
    }
}

fn measured(link: StackLink, size: i64, u: Option<f64>) -> StackLink {
    let measured = Some(Member {
        size: um(size),
        standard_nm: u,
    });
    StackLink { measured, ..link }
}

/// A housing of 30 +0.1/0 holds a bush of 12 0/-0.05, an impeller of 15 ±0.02 and a washer of
/// 2.8 0/-0.1: by hand the gap is 30.000 - 29.82 = 0.18 to 30.100 - 29.63 = 0.47.
fn end_play() -> [StackLink; 4] {
    [
        link(false, 30_000, 30_100),
        link(true, 11_950, 12_000),
        link(true, 14_980, 15_020),
        link(true, 2_700, 2_800),
    ]
}

#[test]
fn the_worst_case_and_the_root_sum_square_are_those_by_hand() {
    let found = stack(&end_play()).unwrap();
    assert_eq!(found.worst, (um(180), um(470)));
    assert_eq!(found.known, found.worst);
    assert!((found.middle_nm - 325_000.0).abs() < 1e-9);
    // sqrt(50² + 25² + 20² + 50²) µm = 77.6208735... µm.
    assert!((found.half_statistical_nm - 77_620.873).abs() < 1e-3);
    assert_eq!((found.measured, found.standard_nm), (0, None));
}

#[test]
fn measured_lengths_stand_for_their_limits() {
    let [housing, bush, impeller, washer] = end_play();
    let row = [
        measured(housing, 30_042, Some(3_000.0)),
        measured(bush, 11_981, Some(4_000.0)),
        impeller,
        washer,
    ];
    let found = stack(&row).unwrap();
    // 30.042 - 11.981 - 15.02 - 2.8 = 0.241; with the least of the others 0.381.
    assert_eq!(found.known, (um(241), um(381)));
    assert_eq!(found.worst, (um(180), um(470)));
    assert_eq!((found.measured, found.standard_nm), (2, Some(5_000.0)));
    let all = [
        row[0],
        row[1],
        measured(impeller, 15_003, Some(0.0)),
        measured(washer, 2_760, None),
    ];
    let found = stack(&all).unwrap();
    assert_eq!(found.known, (um(298), um(298)));
    // One without an uncertainty: nothing is said of that of the gap.
    assert_eq!((found.measured, found.standard_nm), (4, None));
}

#[test]
fn what_is_no_row_is_refused() {
    assert_eq!(stack(&[]), Err(PairError::StackLength { found: 0 }));
    let many = [link(false, 1, 2); 101];
    assert_eq!(stack(&many), Err(PairError::StackLength { found: 101 }));
    let error = stack(&[link(false, 2, 1)]).unwrap_err();
    assert_eq!(error.code(), "limits_reversed");
    assert_eq!(error.hint(), Some("Give the smaller limit first."));
    assert!(
        error.to_string().contains("0.002 mm, is more than"),
        "{error}"
    );
    let far = Length::from_nm(i64::MAX);
    let long = StackLink {
        limits: (far, far),
        ..link(false, 0, 0)
    };
    assert_eq!(stack(&[long, long]), Err(PairError::TooLong));
}

proptest! {
    /// No assembly of parts within their limits leaves the worst case, and its ends are reached.
    #[test]
    fn every_assembly_is_within_the_worst_case(
        row in prop::collection::vec((any::<bool>(), -50_000_i64..50_000, 0_i64..500), 1..12),
        at in prop::collection::vec(0_i64..=1_000, 12),
    ) {
        let links: Vec<StackLink> = row.iter().map(|(takes, lower, width)| link(*takes, *lower, lower + width)).collect();
        let found = stack(&links).unwrap();
        let gap = |share: &dyn Fn(usize, bool) -> i64| -> i64 {
            let each = row.iter().enumerate();
            each.map(|(n, (takes, lower, width))| {
                let size = lower * 1_000 + width * share(n, *takes);
                if *takes { -size } else { size }
            }).sum()
        };
        let random = gap(&|n, _| at[n]);
        prop_assert!(found.worst.0.as_nm() <= random && random <= found.worst.1.as_nm());
        let least = gap(&|_, takes| if takes { 1_000 } else { 0 });
        let most = gap(&|_, takes| if takes { 0 } else { 1_000 });
        prop_assert_eq!(found.worst, (Length::from_nm(least), Length::from_nm(most)));
        // Never wider than the worst case.
        let half = (most - least) as f64 / 2.0;
        prop_assert!(found.half_statistical_nm <= half + 1e-6);
        // The sizes themselves give one gap.
        let known: Vec<StackLink> = links.iter().enumerate().map(|(n, one)| {
            let size = Length::from_nm(row[n].1 * 1_000 + row[n].2 * at[n]);
            StackLink { measured: Some(Member { size, standard_nm: Some(1.0) }), ..*one }
        }).collect();
        let Stacked { known, standard_nm, .. } = stack(&known).unwrap();
        prop_assert_eq!(known, (Length::from_nm(random), Length::from_nm(random)));
        prop_assert!((standard_nm.unwrap() - (row.len() as f64).sqrt()).abs() < 1e-9);
    }
}

/// 200 000 assemblies of centred normal lengths with six standard deviations in each tolerance: the
/// root sum square holds 99.73 % of them (definition of three standard deviations).
#[test]
fn the_root_sum_square_holds_what_it_says_of_random_assemblies() {
    let links = end_play();
    let found = stack(&links).unwrap();
    let mut state = 88_172_645_463_325_252_u64;
    let mut even = || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        ((state >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    };
    let mut normal = || (-2.0 * even().ln()).sqrt() * (std::f64::consts::TAU * even()).cos();
    let (mut within, all) = (0, 200_000);
    for _ in 0..all {
        let gap: f64 = links
            .iter()
            .map(|one| {
                let (lower, upper) = (one.limits.0.as_nm_f64(), one.limits.1.as_nm_f64());
                let size = f64::midpoint(lower, upper) + (upper - lower) / 6.0 * normal();
                if one.takes { -size } else { size }
            })
            .sum();
        within += usize::from((gap - found.middle_nm).abs() <= found.half_statistical_nm);
    }
    let share = within as f64 / f64::from(all);
    // Four standard deviations of the share are 0.0005.
    assert!((share - 0.9973).abs() < 0.0005, "{share}");
}
