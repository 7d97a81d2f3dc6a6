//! The web page of an entry: whether it is wanted, what asking for it brings, and its further parts. Distils
//! nothing.

use tokio::time::Instant;
use url::Url;

use super::Conductor;
use super::visit::Visit;
use crate::config;
use crate::distil::decode::decode;
use crate::distil::feed::Entry;
use crate::distil::{FullText, MOST_PARTS, Page, next_part, wants_page};
use crate::fetch::{self, Asker, Kind, Reach, Request, Response};

/// A web page, or how asking for it went wrong.
pub(super) enum PageAnswer {
    /// The page and the further parts of its article, and what is missing of them.
    Pages(Page, Vec<Page>, Option<Missing>),
    /// There is none, and asking again will not help.
    None(String),
    /// It may be there another time.
    Later(String),
}

/// Why an article's further parts are not all there, and whether they may be another time.
pub(super) struct Missing {
    pub(super) reason: String,
    pub(super) later: bool,
}

impl Conductor {
    /// The web page of an entry that is to be read from there; `None` where it is not. `reach` is
    /// how far the feed's links may reach.
    pub(super) async fn page(
        &self,
        visit: &Visit<'_>,
        entry: &Entry,
        reach: Reach,
    ) -> Option<PageAnswer> {
        let link = entry.link.as_ref()?;
        let rule = distil_rule(visit.subscription.full_text);
        let asked = entry.clone();
        let wanted = self.pool.run(move || wants_page(&asked, rule)).await;
        if !wanted.unwrap_or(false) {
            return None;
        }
        let page = match self.one_page(visit, link, reach).await {
            Ok(page) => page,
            Err(answer) => return Some(answer),
        };
        let (further, missing) = self.further(visit, &page, reach).await;
        Some(PageAnswer::Pages(page, further, missing))
    }

    /// The further parts of an article, as far as they can be had, and a warning where that is not all
    /// the way. Each is on the site of the first, none is asked for twice, and a visit's time for entries
    /// bounds them as it does all.
    async fn further(
        &self,
        visit: &Visit<'_>,
        first: &Page,
        reach: Reach,
    ) -> (Vec<Page>, Option<Missing>) {
        let start = Instant::now();
        let mut pages = vec![first.clone()];
        let missing = loop {
            let (last, place) = (pages[pages.len() - 1].clone(), pages.len());
            let next = self.pool.run(move || next_part(&last, place)).await;
            let Some(next) = next.ok().flatten() else {
                break None;
            };
            if place >= MOST_PARTS || start.elapsed() >= self.entries_budget {
                let reason = format!("its article goes on at {next}, after {place} pages");
                break Some(Missing {
                    reason,
                    later: false,
                });
            }
            match self.one_page(visit, &next, reach).await {
                Ok(page) if pages.iter().any(|known| known.address == page.address) => break None,
                Ok(page) => pages.push(page),
                Err(answer) => {
                    let later = matches!(answer, PageAnswer::Later(_));
                    let (PageAnswer::None(fault) | PageAnswer::Later(fault)) = answer else {
                        break None;
                    };
                    let reason = format!("its article goes on at {next}, but {fault}");
                    break Some(Missing { reason, later });
                }
            }
        };
        (pages.split_off(1), missing)
    }

    /// One web page; the error is the answer for its entry.
    async fn one_page(
        &self,
        visit: &Visit<'_>,
        link: &Url,
        reach: Reach,
    ) -> Result<Page, PageAnswer> {
        let request = Request {
            url: link.clone(),
            kind: Kind::Page,
            validators: fetch::Validators::default(),
            headers: visit.headers_for(link),
            reach,
        };
        let response = match self.plan().fetcher.get(&request).await {
            Ok(response) => response,
            Err(fault @ fetch::FetchError::Refused { .. }) => {
                return Err(PageAnswer::None(fault.to_string()));
            }
            Err(fault) => return Err(PageAnswer::Later(fault.told(Asker::Service))),
        };
        Err(match response.status {
            200..=299 if !is_page(response.content_type.as_deref()) => PageAnswer::None(format!(
                "its link leads to {} and not to a web page, so that the feed's own text has to do",
                response.content_type.as_deref().unwrap_or_default()
            )),
            200..=299 => return self.decoded(response).await,
            status @ (404 | 410) => PageAnswer::None(format!(
                "its web page is not there (status {status}), so that the feed's own text has to do"
            )),
            status => PageAnswer::Later(format!("its web page answers with status {status}")),
        })
    }

    async fn decoded(&self, response: Response) -> Result<Page, PageAnswer> {
        let address = response.final_url;
        let (body, content_type) = (response.body, response.content_type);
        match self
            .pool
            .run(move || decode(&body, content_type.as_deref()))
            .await
        {
            Ok(html) => Ok(Page { html, address }),
            Err(fault) => Err(PageAnswer::None(format!(
                "its web page could not be read: {fault}"
            ))),
        }
    }
}

/// Whether a media type is that of a web page; one that is not declared may be.
fn is_page(content_type: Option<&str>) -> bool {
    let Some(content_type) = content_type else {
        return true;
    };
    let essence = content_type.split(';').next().unwrap_or_default();
    matches!(
        essence.trim().to_ascii_lowercase().as_str(),
        "" | "text/html" | "application/xhtml+xml" | "application/xml" | "text/xml"
    )
}

fn distil_rule(rule: config::FullText) -> FullText {
    match rule {
        config::FullText::Auto => FullText::Auto,
        config::FullText::Always => FullText::Always,
        config::FullText::Never => FullText::Never,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_may_be_a_web_page_is_read_as_one() {
        assert!(is_page(None) && is_page(Some("Text/HTML; charset=x")) && is_page(Some("")));
        assert!(!is_page(Some("application/pdf")) && !is_page(Some("image/png")));
    }
}
