//! The web page of an entry: whether it is wanted, and what asking for it brings. Distils nothing.

use super::Conductor;
use super::visit::Visit;
use crate::config;
use crate::distil::decode::decode;
use crate::distil::feed::Entry;
use crate::distil::{FullText, Page, wants_page};
use crate::fetch::{self, Asker, Kind, Reach, Request, Response};

/// A web page, or how asking for it went wrong.
pub(super) enum PageAnswer {
    Page(Page),
    /// There is none, and asking again will not help.
    None(String),
    /// It may be there another time.
    Later(String),
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
                return Some(PageAnswer::None(fault.to_string()));
            }
            Err(fault) => return Some(PageAnswer::Later(fault.told(Asker::Service))),
        };
        Some(match response.status {
            200..=299 if !is_page(response.content_type.as_deref()) => PageAnswer::None(format!(
                "its link leads to {} and not to a web page, so that the feed's own text has to do",
                response.content_type.as_deref().unwrap_or_default()
            )),
            200..=299 => self.decoded(response).await,
            status @ (404 | 410) => PageAnswer::None(format!(
                "its web page is not there (status {status}), so that the feed's own text has to do"
            )),
            status => PageAnswer::Later(format!("its web page answers with status {status}")),
        })
    }

    async fn decoded(&self, response: Response) -> PageAnswer {
        let address = response.final_url;
        let (body, content_type) = (response.body, response.content_type);
        match self
            .pool
            .run(move || decode(&body, content_type.as_deref()))
            .await
        {
            Ok(html) => PageAnswer::Page(Page { html, address }),
            Err(fault) => PageAnswer::None(format!("its web page could not be read: {fault}")),
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
