//! The files of messages: that they can be read, and have the same messages with the same variables.

use std::collections::{BTreeMap, BTreeSet};

use fluent_syntax::ast::{Entry, Expression, InlineExpression, Pattern, PatternElement, Resource};

use super::*;

/// The variables of a pattern, those of its selections with them, and `id` of a message that it refers to as `@id`.
fn variables(pattern: &Pattern<&str>, found: &mut BTreeSet<String>) {
    for element in &pattern.elements {
        let PatternElement::Placeable { expression } = element else {
            continue;
        };
        match expression {
            Expression::Inline(inline) => of_inline(inline, found),
            Expression::Select { selector, variants } => {
                of_inline(selector, found);
                for variant in variants {
                    variables(&variant.value, found);
                }
            }
        }
    }
}

fn of_inline(inline: &InlineExpression<&str>, found: &mut BTreeSet<String>) {
    match inline {
        InlineExpression::VariableReference { id } => found.insert(id.name.to_owned()),
        InlineExpression::MessageReference { id, .. } => found.insert(format!("@{}", id.name)),
        other => panic!("{other:?} is not used in messages"),
    };
}

/// The messages of a file by their ids, with their variables and those of the messages that they refer to.
fn messages(file: &str) -> BTreeMap<String, BTreeSet<String>> {
    let resource: Resource<&str> = fluent_syntax::parser::parse(file).expect("sound messages");
    let mut messages = BTreeMap::new();
    for entry in &resource.body {
        if let Entry::Message(message) = entry {
            let mut found = BTreeSet::new();
            variables(message.value.as_ref().expect("a text"), &mut found);
            let twice = messages.insert(message.id.name.to_owned(), found);
            assert_eq!(twice, None, "{} stands there twice", message.id.name);
        }
    }
    let own = messages.clone();
    for variables in messages.values_mut() {
        let referred: Vec<String> = variables
            .extract_if(.., |name| name.starts_with('@'))
            .collect();
        for id in referred {
            variables.extend(own[&id[1..]].iter().cloned());
        }
    }
    messages
}

#[test]
fn every_language_has_the_same_messages_with_the_same_variables() {
    let [(_, english), others @ ..] = FILES;
    let english = messages(english);
    assert!(english.len() > 60);
    for (tag, file) in others {
        assert_eq!(messages(file), english, "{tag}");
    }
}

#[test]
fn every_message_is_told_without_a_fault() {
    for words in Words::all() {
        for (id, variables) in messages(FILES[0].1) {
            // As many as any message takes; a month and a day of the week that there are.
            let names = [
                "year", "month", "day", "weekday", "hour", "minute", "minutes", "new", "unread",
            ];
            let mut given: FluentArgs = names
                .map(|name| (name, Value::from(7)))
                .into_iter()
                .collect();
            for name in variables.iter().filter(|name| !name.starts_with('@')) {
                given.set(name.clone(), Value::from(7));
            }
            let message = words.0.messages.get_message(&id).expect("a message");
            let (pattern, mut faults) = (message.value().expect("a text"), Vec::new());
            let told = words
                .0
                .messages
                .format_pattern(pattern, Some(&given), &mut faults);
            assert!(faults.is_empty(), "{words:?} {id}: {faults:?}");
            assert!(!told.trim().is_empty(), "{words:?} {id}");
            let strange = told
                .chars()
                .any(|letter| ('\u{2066}'..='\u{2069}').contains(&letter));
            assert!(!strange, "{words:?} {id} has marks of isolation");
        }
    }
}

#[test]
fn a_message_that_is_missing_is_told_in_english_or_by_its_id() {
    for words in Words::all() {
        assert_eq!(words.say("no-such-message"), "no-such-message");
        assert_eq!(words.tell("no-such-message", []), "no-such-message");
        // One that takes variables is none of those that take none.
        assert_eq!(words.say("unread"), "unread");
    }
    let lacking: &'static Tongue = Box::leak(Box::new(Tongue::read("fr", "new = Neuf\n")));
    assert_eq!(Words(lacking).say("new"), "Neuf");
    assert_eq!(Words(lacking).say("index"), "Index");
    assert_eq!(
        Words(lacking).tell("unread", [("unread", 3.into())]),
        "3 unread"
    );
}

#[test]
fn readers_have_their_language_or_english() {
    let check = |values: &[&str], tag: &str| {
        let words = Words::accepted(values.iter().copied());
        assert_eq!(words.language().tag(), tag, "{values:?}");
    };
    check(&["de-AT,de;q=0.9,en;q=0.5"], "de");
    check(&["en-GB,en;q=0.9,de;q=0.5"], "en");
    check(&["fr-FR,fr;q=0.9"], "en");
    check(&["fr-FR,fr;q=0.9,de;q=0.1"], "de");
    check(&[], "en");
}
