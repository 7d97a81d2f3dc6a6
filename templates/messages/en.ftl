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
newest = Newest
go-on = Go on reading
new = New
new-entries = { $new } new
nothing-unread = Nothing unread
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
best-found = the best { $found } shown
further = Further
forget-searches = Forget searches

## Discs.
next-disc = Next disc
lines-a-disc = { $lines } lines a disc
spacing-usual =
    Usual
    spacing
spacing-wide =
    Wide
    spacing

## What went wrong.
not-shown = Not shown
no-page = There is no such page here. It may have gone, or its address was mistyped.
went-wrong = Something went wrong at home. The service's log says what. Try again in a minute.
no-such-disc = There is no such disc.
choose-on-index = Choose a text size or spacing on the index's last discs.
unknown-host = This service does not go by that name. Add the name to `hosts` in its config file, or use its address by number.
from-elsewhere = This came from another site's page. Use the buttons of this service's own pages.
