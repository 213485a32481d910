//! A problem points to the line and the very characters that are wrong.

use wheeldraft::rules::ShopRules;

/// The problems of an order: field, line, column and the characters under the caret.
fn found(text: &str) -> Vec<(String, usize, usize, String)> {
    let problems = ShopRules::built_in().open(text.as_bytes()).expect_err("a problem");
    let meant = |p: &wheeldraft::json::Located| {
        p.place.excerpt.chars().skip(p.place.indent).take(p.place.width).collect::<String>()
    };
    problems.iter().map(|p| (p.problem.field.clone(), p.place.line, p.place.column, meant(p))).collect()
}

fn one(text: &str) -> (String, usize, usize, String) {
    let all = found(text);
    assert_eq!(all.len(), 1, "{all:?}");
    all[0].clone()
}

fn order(wheel: &str) -> String {
    format!("{{\"order\": {{\"number\": \"1\", \"revision\": \"A\"}},\n\"units\": \"mm\",\n\"wheel\": {wheel}\n}}")
}

#[track_caller]
fn expect(text: &str, field: &str, line: usize, column: usize, meant: &str) {
    assert_eq!(one(text), (field.to_owned(), line, column, meant.to_owned()));
}

#[test]
fn a_wrong_value_is_pointed_at() {
    let text = order("{\"outside_diameter\": 400, \"thickness\": 50,\n\t\"bore\": -127}");
    expect(&text, "/wheel/bore", 4, 10, "-127");
}

#[test]
fn an_unknown_field_is_pointed_at_by_its_name() {
    let text = order("{\"outside_diameter\": 400, \"thickness\": 50, \"bore\": 127, \"face\": {\"grovees\": {}}}");
    expect(&text, "/wheel/face/grovees", 3, 75, "\"grovees\"");
}

#[test]
fn a_missing_field_is_pointed_at_where_it_belongs() {
    let text = order("{\"outside_diameter\": 400,\n \"thickness\": 50}");
    expect(&text, "/wheel/bore", 3, 1, "\"wheel\"");
    // in a list the entry's own bracket
    let text = order(
        "{\"outside_diameter\": 400, \"thickness\": 50, \"bore\": 127},\n\"answers\": [{\"question\": \"x\", \"answer\": \"y\", \"by\": \"z\"}]",
    );
    expect(&text, "/answers/0/date", 4, 13, "{");
}

#[test]
fn the_nearest_thing_around_an_absent_field_is_pointed_at() {
    // the corner has neither a radius nor a chamfer
    let text = order(
        "{\"outside_diameter\": 400, \"thickness\": 50, \"bore\": 127,\n\"side_a\": {\"corner\": {\"angle_deg\": 45}}}",
    );
    expect(&text, "/wheel/side_a/corner", 4, 12, "\"corner\"");
}

#[test]
fn columns_count_characters_not_bytes() {
    let text = "{\"order\": {\"number\": \"1\", \"revision\": \"A\", \"customer\": \"Çağlar 渦\", \"dat\": \"\"},\n \"units\": \"mm\", \"wheel\": {\"outside_diameter\": 400, \"thickness\": 50, \"bore\": 127}}";
    expect(text, "/order/dat", 1, 68, "\"dat\"");
}

#[test]
fn problems_come_in_the_order_of_the_file() {
    let text = order("{\"bore\": -1,\n\"outside_diameter\": true,\n\"thickness\": \"x\",\n\"color\": 1}");
    let lines: Vec<usize> = found(&text).iter().map(|p| p.1).collect();
    assert_eq!(lines, [3, 4, 5, 6]);
}

#[test]
fn keys_with_strokes_and_tildes_are_escaped_in_the_pointer() {
    let text = order("{\"outside_diameter\": 400, \"thickness\": 50, \"bore\": 127, \"a/b~c\": 1}");
    assert_eq!(one(&text).0, "/wheel/a~1b~0c");
}

/// Values that are sound are checked although others could not be read, and what is only a consequence is not reported.
#[test]
fn a_slip_hides_nothing_and_causes_nothing() {
    let text = order(
        "{\"outside_diameter\": 400, \"thickness\": 50, \"bore\": 127,\n\
         \"side_a\": {\"recess\": [{\"diameter\": 200, \"depth\": 60}], \"corner\": {\"radius\": \"3 furlong\"}},\n\
         \"side_b\": {\"taper\": {\"from_diameter\": 300, \"to_diameter\": 400, \"dept\": 3}},\n\
         \"face\": {\"grooves\": {\"cuont\": 40, \"width\": 2, \"depth\": 100}}}",
    );
    let fields: Vec<String> = found(&text).into_iter().map(|p| p.0).collect();
    // neither "the taper has no depth" nor "no count"; the depth of the face's grooves waits until they can be counted
    assert_eq!(
        fields,
        [
            "/wheel/side_a/recess/0/depth",
            "/wheel/side_a/corner/radius",
            "/wheel/side_b/taper/dept",
            "/wheel/face/grooves/cuont"
        ]
    );
}
