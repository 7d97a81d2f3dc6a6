# The service's words in German, in the syntax of Project Fluent. Most stand in rows of a disc, where few words have room.

## Times. Months count from 1, days of the week from 1 for Monday; hours and minutes have two digits.
month = { $month ->
    [1] Januar
    [2] Februar
    [3] März
    [4] April
    [5] Mai
    [6] Juni
    [7] Juli
    [8] August
    [9] September
    [10] Oktober
    [11] November
   *[12] Dezember
    }
month-in-short = { $month ->
    [1] Jan.
    [2] Feb.
    [3] März
    [4] Apr.
    [5] Mai
    [6] Juni
    [7] Juli
    [8] Aug.
    [9] Sept.
    [10] Okt.
    [11] Nov.
   *[12] Dez.
    }
weekday = { $weekday ->
    [1] Montag
    [2] Dienstag
    [3] Mittwoch
    [4] Donnerstag
    [5] Freitag
    [6] Samstag
   *[7] Sonntag
    }
weekday-in-short = { $weekday ->
    [1] Mo
    [2] Di
    [3] Mi
    [4] Do
    [5] Fr
    [6] Sa
   *[7] So
    }
time-of-this-year = { $day }. { month-in-short } { $hour }:{ $minute }
time-on-short-lines = { $day }.{ $month }. { $hour }:{ $minute }
day-on-short-lines = { $day }.{ $month }.{ $year }
day-in-short = { $day }. { month-in-short } { $year }
full-time = { weekday }, { $day }. { month } { $year }, { $hour }:{ $minute }
full-time-in-short = { weekday-in-short }, { $day }. { month-in-short } { $year }, { $hour }:{ $minute }

## Lengths.
length-in-short = { $minutes } min
length = { $minutes ->
    [one] 1 Minute
   *[other] { $minutes } Minuten
    }

## The index.
index = Index
groups = Gruppen
all = Alle
older = Ältere
title-of-page = { $title }, Seite { $page }
newest = Neueste
go-on = Weiterlesen
new = Neu
new-entries = { $new } neu
nothing-unread = Alles gelesen
unread = { $unread } ungelesen
new-of-unread = { $new } neu von { $unread }
new-of-unread-in-short = { $new } neu von { $unread }
changed = Geändert
source-and-more = { $source } und noch { $others }
mark-as-seen = Gesehen
marked-as-seen = { $entries } sind gesehen
marked-as-seen-in-short = { $entries } gesehen
undo = Widerrufen
undo-is-past = Das lässt sich nicht mehr widerrufen. Das geht nur einmal, und nur mit dem, was zuletzt als gesehen galt.
nothing-yet = Noch nichts zu lesen
nothing-yet-told = Die ersten Artikel kommen wenige Minuten nach dem Start. Dann diese Seite wieder öffnen.
all-read = Alles ist gelesen
all-read-told = Was als Nächstes kommt, steht dann hier.
no-answer = { $feed }: keine Antwort seit { $since }
more-no-answer = { $feeds } weitere Feeds: keine Antwort

## Articles by their time.
time-to-read = Ich habe { $minutes ->
    [one] 1 Minute
   *[other] { $minutes } Minuten
    }
nothing-fits = Nichts so Kurzes
nothing-fits-told = Kein ungelesener Artikel braucht so wenig Zeit. Mehr Minuten wählen oder später wieder schauen.
pace = { $words } Wörter pro Minute
pace-in-short = { $words } pro Minute
forget-pace = Tempo vergessen

## Articles.
excerpt = Auszug
changed-since-read = Seit dem Lesen geändert
changed-since-read-in-short = Neu geändert
also-in-one = Auch in { $one }
also-in-two = Auch in { $one } und { $other }
also-in-more = Auch in { $one } und { $others } weiteren
keep = Behalten
let-go = Loslassen
original = Original
links = Links
links-in-text = { $links } im Text
links-of = Links: { $title }
next = Nächster
back-to-text = Zum Text

## Handing over to a telephone.
hand = Aufs Telefon
hand-title = Aufs Telefon: { $title }
code-of = Code für die Kamera eines Telefons: { $address }
opens-where-stopped = Öffnet an der Lesestelle
opens-at-beginning = Öffnet am Anfang
at-home-alone = Nur zu Hause
perhaps-at-home-alone = Vielleicht nur zu Hause
too-long-for-code = Zu lang für einen Code: { $address }

## Links that are followed.
back-to-links = Zu den Links
being-fetched = Wird geholt
look-again = Nachsehen
not-fetched = Nicht geholt
fetch = Holen
try-again = Noch einmal
open-itself = Selbst öffnen
crowded = Zu viel zugleich
crowded-told = Andere Seiten werden noch geholt. In einer Minute noch einmal versuchen.
refused = Nicht öffentlich
refused-told = Seiten bei { $site } werden nicht geholt: Die Adresse gehört nicht zum öffentlichen Netz. Ein Telefon, das sie erreicht, kann sie öffnen.
unreachable = Nicht erreicht
unreachable-told = { $site } ist nicht zu erreichen. Später noch einmal versuchen.
too-slow = Zu langsam
too-slow-told = { $site } kam mit der Antwort nicht rechtzeitig zu Ende. Später noch einmal versuchen.
too-large = Zu groß
too-large-told = { $site } schickt mehr, als von einer Seite gelesen wird. Ein Telefon kann sie öffnen.
damaged = Schadhaft
damaged-told = Die Antwort von { $site } ist schadhaft. Später noch einmal versuchen.
not-there = Nicht da
not-there-told = Diese Seite gibt es bei { $site } nicht (Status { $status }).
not-let-in = Kein Zutritt
not-let-in-told = { $site } lässt diesen Dienst nicht ein (Status { $status }). Ein Telefon vielleicht.
status = Keine Seite
status-told = { $site } antwortet mit Status { $status } und ohne Seite. Später noch einmal versuchen.
a-pdf = Ein PDF
a-picture = Ein Bild
sound = Ton
film = Film
plain-text = Bloßer Text
a-file = Eine Datei
kind-told = Das ist keine Seite zum Lesen, sondern { $kind }. Ein Telefon kann es öffnen.
no-article = Kein Artikel
no-text-told = Nichts auf der Seite ist als Text zu lesen. Ein Telefon kann sie öffnen.
links-alone-told = Die Seite zählt Links auf und ist kein Artikel. Ein Telefon kann sie öffnen.
missing-told = Die Seite sagt, dass das Gesuchte nicht da ist.
closed-told = Die Seite zeigt ihren Artikel nur denen, die dort ein Konto haben.
broken = Misslungen
broken-told = Daraus ließ sich kein Artikel machen. Warum, steht im Protokoll des Dienstes.

## What is kept.
kept = Behalten
kept-articles = { $articles } Artikel
nothing-kept = Nichts behalten
nothing-kept-told = Auf den letzten Scheiben eines Artikels steht die Zeile, die ihn behält.

## Finding.
find = Suchen
find-words = Suchwörter
find-title = Suchen: { $words }
nothing-found = Kein Treffer
type-a-word = Wort tippen
fewer-words = Zu lang
no-words = Ein Wort oder mehrere tippen, dann auf „Suchen“. Gesucht wird nach Buchstaben und Ziffern, nicht nach Zeichen.
too-many-words = Eine Suche fasst { $most } Wörter mit zusammen { $characters } Zeichen, nicht mehr.
none-has-all = In keinem Artikel steht all das: { $words }. Es hilft, weniger Wörter zu suchen oder vom letzten nur den Anfang.
not-findable-yet = { $articles ->
    [one] Ein Artikel wird noch für die Suche vorbereitet. In einigen Minuten noch einmal suchen.
   *[other] { $articles } Artikel werden noch für die Suche vorbereitet. In einigen Minuten noch einmal suchen.
    }
found = { $found } gefunden
best-found = die besten { $found }
further = Weitere
forget-searches = Suchen löschen

## Discs.
next-disc = Weiter
lines-a-disc = { $lines } Zeilen
spacing-usual =
    Enger
    Satz
spacing-wide =
    Weiter
    Satz

## A first visit. The first two have a line of a disc for each of theirs, of at most 27 characters.
first-visit = Erster Besuch
caution-and-whole =
    Zum Lesen anhalten: nie
    im Gehen oder im Verkehr.
    Die Regeln vor Ort gelten.
    Was gleicht dem Schirm?
whole-told = Ein Browser kann eine eigene Leiste über den oberen oder den unteren Rand legen. Auf die Scheibe tippen, die so aussieht wie diese. Nichts gilt für immer: Die letzten Scheiben des Index ändern es.
as-set-at-home = Wie zu Hause eingestellt
which-reads-well = Was liest sich gut?
sample =
    Liest
    gut

## The screen.
bar = Leiste
whole-disc = Ohne Leiste
bar-above = Leiste oben
bar-below = Leiste unten
ground-dark = Dunkel
ground-light =
    Hell

## What is old. The first two have the variables of times, too.
old-day = { weekday }, { $day }. { month } { $year }, { $age }
old-day-in-short = { weekday-in-short }, { $day }. { month-in-short } { $year }, { $age }
years-old = { $years ->
    [one] 1 Jahr alt
   *[other] { $years } Jahre alt
    }
months-old = { $months } Monate alt

## What went wrong.
not-shown = Nicht gezeigt
no-page = Diese Seite gibt es hier nicht. Vielleicht ist sie nicht mehr da, oder die Adresse ist vertippt.
went-wrong = Zu Hause ging etwas schief. Was, steht im Protokoll des Dienstes. In einer Minute noch einmal versuchen.
no-such-disc = Diese Scheibe gibt es nicht.
choose-on-index = Gewählt wird auf der ersten Seite oder auf den letzten Scheiben des Index.
unknown-host = Dieser Dienst heißt nicht so. Der Name gehört unter `hosts` in die Config-Datei; sonst hilft die Adresse in Zahlen.
from-elsewhere = Das kam von der Seite eines anderen. Hier gelten nur die Knöpfe der eigenen Seiten dieses Dienstes.
