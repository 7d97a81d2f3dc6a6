# The service's words in English, in the syntax of Project Fluent. Most stand in rows of a disc, where few words have room.

## Times. Months count from 1, days of the week from 1 for Monday; hours and minutes have two digits.
month = { $month ->
    [1] January
    [2] February
    [3] March
    [4] April
    [5] May
    [6] June
    [7] July
    [8] August
    [9] September
    [10] October
    [11] November
   *[12] December
    }
month-in-short = { $month ->
    [1] Jan
    [2] Feb
    [3] Mar
    [4] Apr
    [5] May
    [6] Jun
    [7] Jul
    [8] Aug
    [9] Sep
    [10] Oct
    [11] Nov
   *[12] Dec
    }
weekday = { $weekday ->
    [1] Monday
    [2] Tuesday
    [3] Wednesday
    [4] Thursday
    [5] Friday
    [6] Saturday
   *[7] Sunday
    }
weekday-in-short = { $weekday ->
    [1] Mon
    [2] Tue
    [3] Wed
    [4] Thu
    [5] Fri
    [6] Sat
   *[7] Sun
    }
time-of-this-year = { $day } { month-in-short } { $hour }:{ $minute }
time-on-short-lines = { $day } { month-in-short } { $hour }:{ $minute }
day-on-short-lines = { $day } { month-in-short } { $year }
day-in-short = { $day } { month-in-short } { $year }
full-time = { weekday } { $day } { month } { $year }, { $hour }:{ $minute }
full-time-in-short = { weekday-in-short } { $day } { month-in-short } { $year }, { $hour }:{ $minute }

## Lengths.
length-in-short = { $minutes } min
length = { $minutes ->
    [one] 1 minute
   *[other] { $minutes } minutes
    }

## The index.
index = Index
groups = Groups
all = All
older = Older
title-of-page = { $title }, page { $page }
newest = Newest
go-on = Go on reading
new = New
new-entries = { $new } new
nothing-unread = All read
unread = { $unread } unread
new-of-unread = { $new } new of { $unread } unread
new-of-unread-in-short = { $new } new of { $unread }
changed = Changed
source-and-more = { $source } and { $others } more
mark-as-seen = Mark as seen
marked-as-seen = { $entries } marked as seen
marked-as-seen-in-short = { $entries } seen
undo = Undo
undo-is-past = This cannot be undone any more. Only what was marked as seen last can be, once.
nothing-yet = Nothing to read yet
nothing-yet-told = The first articles come within minutes of the start. Open this page again then.
all-read = All is read
all-read-told = What comes next will stand here.
no-answer = { $feed }: no answer since { $since }
more-no-answer = { $feeds } more feeds: no answer

## Articles by their time.
time-to-read = I have { $minutes ->
    [one] 1 minute
   *[other] { $minutes } minutes
    }
nothing-fits = Nothing so short
nothing-fits-told = No unread article takes so little time. Choose more minutes, or look again later.
pace = { $words } words a minute
pace-in-short = { $words } a minute
forget-pace = Forget my pace

## Articles.
excerpt = Excerpt
changed-since-read = Changed since you read it
changed-since-read-in-short = Changed since read
also-in-one = Also in { $one }
also-in-two = Also in { $one } and { $other }
also-in-more = Also in { $one } and { $others } more
keep = Keep
let-go = Let go
original = Original
links = Links
links-in-text = { $links } in the text
links-of = Links: { $title }
next = Next
back-to-text = Back to the text

## Handing over to a telephone.
hand = To the phone
hand-title = To the phone: { $title }
code-of = Code for a phone’s camera: { $address }
opens-where-stopped = Opens where you stopped
opens-at-beginning = Opens at the beginning
at-home-alone = Only at home
perhaps-at-home-alone = Perhaps only at home
too-long-for-code = Too long for a code: { $address }

## Links that are followed.
back-to-links = Back to the links
being-fetched = Being fetched
look-again = Look again
not-fetched = Not fetched
fetch = Fetch
try-again = Try again
open-itself = Open it itself
crowded = Too many at once
crowded-told = Other pages are still being fetched. Try again in a minute.
refused = No open address
refused-told = Pages at { $site } are not fetched: the address is not of the public web. A phone that reaches it can open it.
unreachable = Not reached
unreachable-told = { $site } cannot be reached. Try again later.
too-slow = Too slow
too-slow-told = { $site } did not finish its answer in time. Try again later.
too-large = Too large
too-large-told = { $site } sends more than is read of a page. A phone can open it.
damaged = Damaged
damaged-told = The answer of { $site } is broken. Try again later.
not-there = Not there
not-there-told = There is no such page at { $site } (status { $status }).
not-let-in = Not let in
not-let-in-told = { $site } does not let this service in (status { $status }). A phone may be let in.
status = No page
status-told = { $site } answers with status { $status } and no page. Try again later.
a-pdf = A PDF
a-picture = A picture
sound = Sound
film = Film
plain-text = Plain text
a-file = A file
kind-told = It is no web page to read, but { $kind }. A phone can open it.
no-article = No article
no-text-told = Nothing on the page can be read as text. A phone can open it.
links-alone-told = The page lists links and is no article. A phone can open it.
missing-told = The page says that what was asked for is not there.
closed-told = The page shows its article to those alone who have an account there.
broken = Went wrong
broken-told = No article could be made of it. The service's log says why.

## What is kept.
kept = Kept
kept-articles = { $articles ->
    [one] 1 article
   *[other] { $articles } articles
    }
nothing-kept = Nothing kept
nothing-kept-told = The last discs of an article have the row that keeps it.

## Finding.
find = Find
find-words = Find words
find-title = Find: { $words }
nothing-found = Nothing found
type-a-word = Type a word
fewer-words = Fewer words
no-words = Type one word or more, then tap Find. Letters and digits are looked for; signs are not.
too-many-words = A search takes { $most } words of { $characters } characters in all, no more.
none-has-all = No article has all of: { $words }. Use fewer words, or only the beginning of the last one.
not-findable-yet = { $articles ->
    [one] One article is still being made ready to be found. Look again in some minutes.
   *[other] { $articles } articles are still being made ready to be found. Look again in some minutes.
    }
found = { $found } found
best-found = the best { $found }
further = Further
forget-searches = Forget searches

## Discs.
next-disc = Next disc
lines-a-disc = { $lines } lines a disc
spacing-usual =
    Set
    close
spacing-wide =
    Set
    wide

## A first visit. The first two have a line of a disc for each of theirs, of at most 27 characters.
first-visit = First visit
caution-and-whole =
    Stop to read: not while
    walking, driving or riding.
    The local rules come first.
    Which is like this screen?
whole-told = A browser may lay a bar of its own over the top or the bottom. Tap the disc that looks like yours. Nothing is set for good: the last discs of the index change it.
as-set-at-home = As set at home
which-reads-well = Which reads well?
sample =
    Reads
    well

## The screen.
bar = Browser’s bar
whole-disc = The whole disc
bar-above = A bar above
bar-below = A bar below
ground-dark = Dark
ground-light =
    Light,
    for sun

## What is old. The first two have the variables of times, too.
old-day = { weekday } { $day } { month } { $year }, { $age }
old-day-in-short = { weekday-in-short } { $day } { month-in-short } { $year }, { $age }
years-old = { $years ->
    [one] 1 year old
   *[other] { $years } years old
    }
months-old = { $months } months old

## What went wrong.
not-shown = Not shown
no-page = There is no such page here. It may have gone, or its address was mistyped.
went-wrong = Something went wrong at home. The service's log says what. Try again in a minute.
no-such-disc = There is no such disc.
choose-on-index = Choose on the first page, or on the index's last discs.
unknown-host = This service does not go by that name. Add the name to `hosts` in its config file, or use its address by number.
from-elsewhere = This came from another site's page. Use the buttons of this service's own pages.
