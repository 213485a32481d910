//! The grade guide: files that are refused, and which of several rows that fit is followed.

use serde_json::{Value, json};
use wheeldraft::order::Order;
use wheeldraft::properties::mark::{Mark, parse};
use wheeldraft::rules::GradeGuide;

fn guide(rows: Value) -> Result<GradeGuide, String> {
    GradeGuide::read(
        &json!({"format": 1, "name": "g", "basis": "practice", "source": "our own", "rows": rows}).to_string(),
    )
}

fn row(name: &str, work: Value, wheel: Value) -> Value {
    json!({"name": name, "work": work, "wheel": wheel, "why": "so we say", "advice": name})
}

fn mark() -> Mark {
    parse("A 60 K 6 V").unwrap()
}

/// What a guide says of this work for A 60 K 6 V: how many rows fit, the advice, the questions.
fn told(rows: Value, work: Value) -> (usize, String, Vec<String>) {
    let order = json!({"order": {"number": "1", "revision": "A"}, "units": "mm", "work": work,
        "wheel": {"outside_diameter": 400, "thickness": 50, "bore": 127}});
    let order: Order = serde_json::from_value(order).unwrap();
    let job = wheeldraft::wheel::resolve(&order, &wheeldraft::rules::ShopRules::built_in().usual_sizes()).unwrap();
    let advice = guide(rows).unwrap().advise(&job.work, &mark());
    (advice.rows, advice.advice, advice.questions.into_iter().map(|q| q.question).collect())
}

#[test]
fn what_is_wrong_with_a_guide_is_said() {
    let hard = |range: Value| guide(json!([row("r", json!({"hardness_hrc": range}), json!({}))]));
    let grit = |range: Value| guide(json!([row("r", json!({}), json!({"grit": range}))]));
    assert!(hard(json!([35, 75])).is_ok() && hard(json!([35, 35])).is_ok());
    assert!(grit(json!([46, 54])).is_ok() && grit(json!([54, 54])).is_ok());
    for refused in [hard(json!([75, 35])), grit(json!([54, 46]))] {
        assert_eq!(refused.unwrap_err(), "a range of the row `r` runs backwards");
    }
    let other = json!({"format": 2, "name": "g", "basis": "practice", "source": "our own", "rows": []}).to_string();
    assert_eq!(
        GradeGuide::read(&other).unwrap_err(),
        "the format of the grade guide is not known; write \"format\": 1"
    );
}

/// A row that names the operation says most, then one that names a hardness the order gives; of equals the one that asks least.
#[test]
fn the_row_that_says_most_is_followed() {
    let wheel = json!({});
    let (any, hard) =
        (row("any", json!({}), wheel.clone()), row("hard", json!({"hardness_hrc": [40, 60]}), wheel.clone()));
    let journal = row("journal", json!({"operation": ["journal"]}), wheel.clone());
    let both = row("both", json!({"operation": ["journal"], "hardness_hrc": [40, 60]}), wheel);
    let work = json!({"operation": "journal", "hardness_hrc": 50, "material": "steel"});
    for (rows, count, wanted) in [
        (json!([any, hard]), 2, "hard"),
        (json!([hard, any]), 2, "hard"),
        (json!([any, hard, journal]), 3, "journal"),
        (json!([journal, hard, any]), 3, "journal"),
        (json!([both, journal, hard]), 3, "both"),
        (json!([journal, both, hard]), 3, "both"),
    ] {
        assert_eq!(told(rows, work.clone()), (count, wanted.to_owned(), Vec::new()));
    }
    // without a hardness a row for one does not fit, nor one for another operation
    let soft = json!({"operation": "fillet", "material": "steel"});
    assert_eq!(told(json!([any, hard, journal, both]), soft), (1, "any".to_owned(), Vec::new()));
    assert_eq!(told(json!([hard]), json!({"operation": "journal"})).0, 0);
    assert_eq!(told(json!([hard]), json!({"hardness_hrc": 60})).0, 1);
    assert_eq!(told(json!([hard]), json!({"hardness_hrc": 60.1})).0, 0);
}

#[test]
fn of_rows_that_say_as_much_the_one_that_asks_least_is_followed() {
    let coarse = row("coarse", json!({"material": ["steel"]}), json!({"grit": [36, 46], "bond": ["B"]}));
    let right = row("right", json!({"material": ["forged"]}), json!({"grit": [46, 60]}));
    let work = json!({"material": "Forged STEEL"});
    for rows in [json!([coarse, right]), json!([right, coarse])] {
        assert_eq!(told(rows, work.clone()), (2, "right".to_owned(), Vec::new()));
    }
    let (count, advice, questions) = told(json!([coarse]), work);
    assert_eq!((count, advice.as_str()), (1, "coarse"));
    assert_eq!(
        questions,
        [
            "Is grit 60 meant for this work? The guide names grit 36 to 46: so we say.",
            "Is bond V meant for this work? The guide names B: so we say."
        ]
    );
    assert_eq!(told(json!([coarse]), json!({"material": "brass"})).0, 0);
}
