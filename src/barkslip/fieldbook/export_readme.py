"""The page that explains an exported folder to whoever opens it in twenty years."""

from __future__ import annotations

from barkslip.fieldbook.columns import SEEN, summary
from barkslip.fieldbook.rows import NOUNS

_TOP = """\
THE GARDEN BOOK{of_garden}
{line}
{invented}
This folder holds everything that was written into a garden book about grafted fruit trees: garden, plots, trees,
limbs, wood, grafts, what was seen, what was done, weather and photos. It was written by barkslip, a free program,
as folder format {format_version}. No program is needed to read it: all but the photos (JPEG) is plain text.


FILES

{files}
{weather_pad}  weather readings: one folder a series, one file a year (see WEATHER)
{photos_pad}  pictures, named by the SHA-256 of their content; photo.csv says what is on them
{columns_pad}  what every column of every file means, with its unit
{book_pad}  format, number of lines by file, and a digest of all facts
{sums_pad}  SHA-256 of every file; check with: sha256sum -c checksums.sha256


HOW THE TABLES ARE WRITTEN

CSV after RFC 4180: UTF-8 without a byte order mark, commas, text in double quotes where needed, lines end with
CR LF, the first line names the columns. In a spreadsheet, import them as UTF-8 and as text, not by double click:
some programs turn codes into dates.

  numbers       decimal point, no thousands separators
  yes/no        the words yes and no
  days          year-month-day. A day that is not known exactly is a range: ..._first and ..._last, with the words
                that were typed in ..._text ("about 1998")
  times         UTC, ISO 8601, ending in Z
  empty cells   not known, or none
  JSON          lists within one cell, as in candidates: [{{"taxon": "rough lemon", "belief": 0.75, ...}}]

Units stand at the end of a column's name: _mm millimetre, _m metre, _l litre, _c degree Celsius, _k kelvin (a
difference of temperatures), _pct per cent, _h hour, _min minute, _s second (since 1970, UTC, where it is a time),
_m_s metre per second, _w_m2 watt per square metre, _pa pascal, _deg degree of angle, _px pixel.


LINES, THINGS AND CORRECTIONS

The book only grew: nothing in it was ever overwritten. Each row is one line of the book.

  id            number of the line (UUID version 7, RFC 9562; sorts by time)
  thing         what the line is about: the id of the first line about the same thing
  corrects      id of the line that this one corrects; empty in the first line about a thing
  made_utc      when it was written down (when it happened stands in the columns for days)
  withdrawn     yes: this line takes the thing back, it never was

The newest line about a thing is the one that no other line corrects ({seen}newest = yes). To see the book as it stood
at the end, keep the rows with {seen}newest = yes and withdrawn = no. Looks, acts, events, photos, tastings and finds
may have been corrected twice side by side: then both lines stand.

Columns such as tree, limb, graft, lot or about hold the thing of another file's row. Columns that begin with {seen}
repeat its code for the eye; they are ignored when the folder is read back.


WEATHER

weather/<series>/series.json says what a series is: where its readings come from, units, gaps, what was assumed when it
was read, and the number of readings by month. weather/<series>/<year>.csv holds its readings:

  time_utc            the time of the reading in UTC
  {seen}local_time      the same in local standard time, without summer time
  air_temp_c ...      readings in the units that the names end with; an empty cell is a missing reading

Numbers are written so that reading them gives the very same binary number (IEEE 754 double precision).


READING IT BACK

  barkslip book import FOLDER

makes a new book that is the same line by line. It checks the checksums first; a folder in which anything was changed
is refused, so work on a copy.
"""


def readme(garden: str, *, invented: bool, format_version: int) -> str:
    """README.txt of an exported folder."""
    width = 20
    files = "\n".join(f"{f'{table}.csv':<{width}}  {summary(noun)}" for table, noun in NOUNS.items())
    of_garden = f": {garden}" if garden else ""
    return _TOP.format(
        of_garden=of_garden,
        line="=" * (len("THE GARDEN BOOK") + len(of_garden)),
        invented="\nThis garden is invented: an example that came with the program.\n" if invented else "",
        format_version=format_version,
        files=files,
        seen=SEEN,
        weather_pad=f"{'weather/':<{width}}",
        photos_pad=f"{'photos/':<{width}}",
        columns_pad=f"{'columns.json':<{width}}",
        book_pad=f"{'book.json':<{width}}",
        sums_pad=f"{'checksums.sha256':<{width}}",
    )
