//! Articles that cannot be found by all their words yet, and how they become so.

use super::*;
use crate::store::Sought;

async fn found(house: &House, words: &str) -> usize {
    let sought = Sought::parse(words).unwrap();
    house.bench.store.find(&sought).await.unwrap().entries.len()
}

#[tokio::test]
async fn articles_are_found_at_once_and_by_a_feeds_new_name_once_they_are_made_findable() {
    let house = House::new().await;
    let names: Vec<String> = (0..40).map(|number| format!("Piece{number}")).collect();
    let entries: Vec<(&str, &str)> = names
        .iter()
        .map(|name| (name.as_str(), "<p>Low water.</p>"))
        .collect();
    let body = atom(&house.server, &entries);
    house.server.set("/feed", Reply::feed(&body));
    house.pass().await;
    assert_eq!(found(&house, "water harbour gazette").await, 40);
    assert_eq!(house.conductor.make_findable().await.unwrap(), 0);
    let mut renamed = subscription(&house.server.url("/feed"));
    renamed.title = Some("Town Crier".to_owned());
    let taken = house
        .conductor
        .take_up(vec![renamed], Shelves::default(), None);
    taken.await.unwrap();
    assert_eq!(found(&house, "crier").await, 0);
    assert_eq!(found(&house, "water").await, 40);
    assert_eq!(house.conductor.make_findable().await.unwrap(), 40);
    assert_eq!(found(&house, "water crier").await, 40);
    assert_eq!(found(&house, "gazette").await, 0);
    assert_eq!(house.conductor.make_findable().await.unwrap(), 0);
}
