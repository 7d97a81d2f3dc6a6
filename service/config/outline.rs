//! What a list of feeds said of a feed, kept to be handed on: attributes that such a list can have.

use super::check::Checker;
use super::raw::RawTable;

impl Checker<'_> {
    /// The attributes that can be handed on, a fault for each of the others.
    pub(super) fn outline(&mut self, table: &RawTable) -> Vec<(String, String)> {
        let declares = |name: &str| table.0.iter().any(|(known, _)| known.get_ref() == name);
        let mut attributes = Vec::new();
        for (name, value) in &table.0 {
            let text = self.read(value, |value| match value.as_str() {
                Some(text) => Ok(text.to_owned()),
                None => Err(format!(
                    "the value of {} in outline is not a text; put it in quotes",
                    name.get_ref().escape_debug()
                )),
            });
            let Some(text) = text else { continue };
            let sound = self.read(name, |name| check_attribute(name, &text, declares));
            if sound.is_some() {
                attributes.push((name.get_ref().clone(), text));
            }
        }
        attributes
    }
}

/// Leaves the attributes that a feed's `outline` can have, and says of each other one what is wrong with it.
pub fn read_outline(attributes: Vec<(String, String)>) -> (Vec<(String, String)>, Vec<String>) {
    let names: Vec<String> = attributes.iter().map(|(name, _)| name.clone()).collect();
    let declares = |wanted: &str| names.iter().any(|name| name == wanted);
    let mut faults = Vec::new();
    let kept = attributes
        .into_iter()
        .filter(|(name, value)| {
            let fault = check_attribute(name, value, declares).err();
            let sound = fault.is_none();
            faults.extend(fault);
            sound
        })
        .collect();
    (kept, faults)
}

/// Whether an attribute can be written into a list of feeds beside those that the config has keys for.
fn check_attribute(name: &str, value: &str, declares: impl Fn(&str) -> bool) -> Result<(), String> {
    let shown = name.escape_debug();
    if !is_attribute_name(name) {
        return Err(format!(
            "\"{shown}\" in outline is no name that XML allows for an attribute; take it out"
        ));
    }
    let instead = match name.to_ascii_lowercase().as_str() {
        "text" => "write it as the feed's title",
        "xmlurl" => "write it as the feed's url",
        "iscomment" if value.trim().eq_ignore_ascii_case("true") => {
            "take the feed itself out where it is not wanted"
        }
        "xmlns" => "take it out, since it would make the outline no part of the list",
        _ => return check_prefix(name, value, declares),
    };
    Err(format!("{shown} cannot stand in outline; {instead}"))
}

/// A prefix has to be declared beside its attribute (Namespaces in XML 1.0, sections 3 and 5).
fn check_prefix(name: &str, value: &str, declares: impl Fn(&str) -> bool) -> Result<(), String> {
    match name.split_once(':') {
        None | Some(("xml", _)) => Ok(()),
        Some(("xmlns", prefix)) => {
            let reserved = prefix.starts_with("xml") || value.trim().is_empty();
            if reserved {
                Err(format!(
                    "{name} in outline declares a prefix that cannot be declared so; take it out"
                ))
            } else {
                Ok(())
            }
        }
        Some((prefix, _)) if declares(&format!("xmlns:{prefix}")) => Ok(()),
        Some((prefix, _)) => Err(format!(
            "{name} in outline has a prefix that nothing declares; add \"xmlns:{prefix}\" with the address \
             that it stands for, or take it out"
        )),
    }
}

/// A name of XML 1.0 (section 2.3) with one colon at the most, between two such names (Namespaces in XML 1.0,
/// section 4).
fn is_attribute_name(name: &str) -> bool {
    let mut parts = name.split(':');
    let whole = parts.by_ref().take(2).all(|part| {
        let mut characters = part.chars();
        characters.next().is_some_and(begins_name) && characters.all(is_in_name)
    });
    whole && parts.next().is_none()
}

fn begins_name(character: char) -> bool {
    matches!(character,
        'A'..='Z' | '_' | 'a'..='z' | '\u{c0}'..='\u{d6}' | '\u{d8}'..='\u{f6}' | '\u{f8}'..='\u{2ff}'
        | '\u{370}'..='\u{37d}' | '\u{37f}'..='\u{1fff}' | '\u{200c}'..='\u{200d}'
        | '\u{2070}'..='\u{218f}' | '\u{2c00}'..='\u{2fef}' | '\u{3001}'..='\u{d7ff}'
        | '\u{f900}'..='\u{fdcf}' | '\u{fdf0}'..='\u{fffd}' | '\u{10000}'..='\u{effff}')
}

fn is_in_name(character: char) -> bool {
    begins_name(character)
        || matches!(character,
            '-' | '.' | '0'..='9' | '\u{b7}' | '\u{300}'..='\u{36f}' | '\u{203f}'..='\u{2040}')
}
