package review

import (
	"cmp"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"pawl/rules/desk"
)

// Table is one CSV file: UTF-8, comma, a heading row.
type Table struct {
	Name    string // of the file
	Summary string // what a row is
	Columns []Column
	write   func(put func(cells ...any), r *Report)
}

// Column is one column of a table, with the unit in its name.
type Column struct{ Name, Means string }

// Tables are all tables of a review.
func Tables() []Table {
	return []Table{servicesTable, segmentsTable, findingsTable, movesTable, groupsTable, levelsTable, notesTable, figuresTable}
}

// TableWriter writes one table, a service after another.
type TableWriter struct {
	table *Table
	out   *csv.Writer
}

// Begin writes the heading row.
func (t *Table) Begin(w io.Writer) *TableWriter {
	heads := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		heads[i] = c.Name
	}
	out := csv.NewWriter(w)
	out.Write(heads) // what goes wrong, Add says
	return &TableWriter{t, out}
}

// Add writes the rows of a service.
func (w *TableWriter) Add(r *Report) error {
	row := make([]string, len(w.table.Columns))
	w.table.write(func(cells ...any) {
		for i, c := range cells {
			row[i] = cell(c)
		}
		w.out.Write(row)
	}, r)
	w.out.Flush()
	return w.out.Error()
}

// cell is a value as a spreadsheet takes it. What is not there is empty: a closed fader
// has no number of decibels.
func cell(v any) string {
	switch v := v.(type) {
	case string:
		return harmless(v)
	case int:
		return strconv.Itoa(v)
	case int64:
		return strconv.FormatInt(v, 10)
	case bool:
		if v {
			return "yes"
		}
		return "no"
	case desk.DB:
		return decimals(float64(v), 3)
	case desk.DBFS:
		return decimals(float64(v), 3)
	case float64:
		return decimals(v, 3)
	case time.Duration:
		return decimals(v.Seconds(), 3)
	case time.Time:
		if v.IsZero() {
			return ""
		}
		return v.Format("2006-01-02T15:04:05.000Z07:00")
	case *When:
		if v == nil {
			return ""
		}
		return cell(v.At)
	case When:
		return cell(v.At)
	}
	return ""
}

func decimals(v float64, n int) string {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return ""
	}
	text := strconv.FormatFloat(v, 'f', n, 64)
	text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	if text == "-0" {
		return "0"
	}
	return text
}

// harmless is a text that no spreadsheet takes for a formula: one that begins as formulas
// do gets an apostrophe before it. That is what OWASP's page on CSV injection advises.
func harmless(text string) string {
	text = strings.Map(func(r rune) rune {
		if r == '\r' || r == '\n' || r == '\t' {
			return ' '
		}
		if r < ' ' || r == 0x7f {
			return '?'
		}
		return r
	}, strings.ToValidUTF8(text, "?"))
	if begins := strings.TrimLeft(text, " \u00a0"); begins != "" && strings.ContainsAny(begins[:1], "=+-@") || strings.HasPrefix(begins, "\uff1d") ||
		strings.HasPrefix(begins, "\uff0b") || strings.HasPrefix(begins, "\uff0d") || strings.HasPrefix(begins, "\uff20") {
		return "'" + text
	}
	return text
}

// of is the columns that begin every row of a table but services.
func of(rest ...Column) []Column {
	return append([]Column{{"service", "number of the service, as in services.csv"}}, rest...)
}

var servicesTable = Table{
	Name: "services.csv", Summary: "a service",
	Columns: []Column{
		{"service", "its number in the record, never given to another one"}, {"name", "as somebody named it; empty if nobody did"},
		{"mixing", "who was mixing, as the house calls them; empty if nobody said"}, {"house", "what the place is called"},
		{"began", "time of day, ISO 8601 with its zone"}, {"ended", "likewise; when something last happened"}, {"goes_on", "yes while it has not ended"},
		{"length_s", "from began to ended"}, {"music_s", "in parts of music"}, {"speech_s", "in parts of speech"}, {"quiet_s", "in parts of quiet"}, {"sound_check_s", "in a sound check"},
		{"moves", "rows of moves.csv"}, {"findings", "rows of findings.csv"}, {"cards", "of these, that came to the screen as cards"},
		{"lines", "and as lines"}, {"levels", "seconds in levels.csv"}, {"lost", "entries and seconds of levels that could not be written"},
		{"unread", "entries that are in the record and cannot be read, because it is damaged"}, {"pawl", "version that judged"},
		{"limits", "those of the house file that are not the usual ones, as in it; empty for none, ? if the record does not have them and the usual ones stand in"},
	},
	write: func(put func(...any), r *Report) {
		h := &r.Heading
		put(h.ID, h.Name, h.Mixing, h.House, h.Began, h.Ended, h.GoesOn, time.Duration(h.Length), time.Duration(h.Music), time.Duration(h.Speech),
			time.Duration(h.Quiet), time.Duration(h.Check), h.Moves, h.Findings, h.Cards, h.Lines, r.course.levelSeconds(), h.Lost, h.Unread, h.Pawl, unusual(r.Limits))
	},
}

// unusual are the limits of a service in a cell.
func unusual(all []Judged) string {
	var each []string
	for i, j := range all {
		var one []string
		for _, l := range j.Differ {
			one = append(one, l.Name+": "+l.Value)
		}
		text := strings.Join(one, ", ")
		if !j.Known {
			text = "?"
		}
		if i > 0 {
			text = "from " + clock(j.From) + " " + cmp.Or(text, "the usual ones")
		}
		each = append(each, text)
	}
	return strings.Join(each, "; ")
}

var segmentsTable = Table{
	Name: "segments.csv", Summary: "a part of a service",
	Columns: of(Column{"number", "within the run of Pawl, from 1"}, Column{"kind", "music, speech, quiet; empty if nothing was said or heard"}, Column{"name", "the house's own"},
		Column{"how", "tap, scene, heard, back (a tap taken back); empty for the first"}, Column{"began", "time of day"}, Column{"t_s", "since the service began"},
		Column{"length_s", "until the next"}, Column{"moves", "that came to rest in it"}, Column{"raises", "of these, raises"}, Column{"cards", "that came to the screen in it"}),
	write: func(put func(...any), r *Report) {
		for _, s := range r.Segments {
			put(r.Heading.ID, s.Number, string(s.Kind), s.Name, string(s.How), s.Began, time.Duration(s.Began.T), time.Duration(s.Length), s.Moves, s.Raises, s.Cards)
		}
	},
}

var findingsTable = Table{
	Name: "findings.csv", Summary: "something that a rule had to say, with its life",
	Columns: of(Column{"number", "within the run of Pawl"}, Column{"rule", "its name"}, Column{"weight", "the most that it had: whisper, nudge or now"}, Column{"card", "yes for a card, no for a line"},
		Column{"opened", "time of day"}, Column{"t_s", "since the service began"}, Column{"grew", "how often"}, Column{"shown", "when it first came to the screen; empty if never"},
		Column{"held", "how often it left the screen though nobody pressed"}, Column{"seen", "when somebody pressed that it was seen"}, Column{"eased", "when it was over; empty if never"},
		Column{"open_s", "from opened to eased, or to the end"}, Column{"kept", "yes if its level became the one to measure from"},
		Column{"followed", "what came within two minutes of its coming to the screen: back (what it asks for), raise (another raise instead), none; empty for one not shown"},
		Column{"way_back_s", "of a ratchet that was shown and taken back: how long after"}, Column{"about", "whom it is about"}, Column{"rise_db", "of the total, where the rule measures it"},
		Column{"faders_db", "of that, by the faders"}, Column{"said", "what it said when it stood worst"}, Column{"try", "what it proposed"}),
	write: func(put func(...any), r *Report) {
		for i := range r.Findings {
			f := &r.Findings[i]
			put(r.Heading.ID, f.Number, f.Rule, f.Weight.String(), f.Card, f.Opened, time.Duration(f.Opened.T), len(f.Grew), f.Shown, len(f.Held), f.Seen, f.Eased,
				time.Duration(f.Open), f.Accepted, string(f.Followed), optional(f.WayBack), names(f.About), figure(f, "rise"), figure(f, "faders"), strings.Join(f.What, " "), strings.TrimSpace(f.Try+" "+f.Then))
		}
	},
}

// optional is a length of time that may not be there.
func optional[T ~int64](d *T) any {
	if d == nil {
		return nil
	}
	return time.Duration(*d)
}

func figure(f *Finding, name string) any {
	if v, ok := f.Figures.Of(name); ok {
		return v
	}
	return nil
}

func names(who []desk.Who) string {
	var all []string
	for _, w := range who {
		all = append(all, label(w))
	}
	return strings.Join(all, "; ")
}

func label(w desk.Who) string {
	if w.Label != "" {
		return w.Label
	}
	return w.Name
}

var movesTable = Table{
	Name: "moves.csv", Summary: "a move of a fader that came to rest",
	Columns: of(Column{"who", "what was moved"}, Column{"strip", "input, dca, group or main"}, Column{"place", "of the strip, from 1"}, Column{"kind", "raise, lower, bring-in, take-out, return, scene, reroute or gain-set"},
		Column{"began", "time of day"}, Column{"ended", "likewise; when it came to rest"}, Column{"t_s", "the same since the service began"}, Column{"from_db", "empty for closed or muted"},
		Column{"to_db", "likewise"}, Column{"by_db", "upwards positive; empty between closed and not"}, Column{"bought_over_s", "of a raise in music: how long after it its price was asked"},
		Column{"clearer_db", "how far it then stood out more from all the rest, by the faders"}, Column{"swallowed_db", "how much of the raise that was not, because the rest came up"}),
	write: func(put func(...any), r *Report) {
		for i := range r.Moves {
			m := &r.Moves[i]
			var over, clearer, swallowed any
			if b := m.Bought; b != nil {
				over, clearer, swallowed = time.Duration(b.Over), b.Clearer, b.Swallowed
			}
			put(r.Heading.ID, label(m.Who), m.Who.Strip.String(), m.Who.Index+1, m.Kind.String(), m.Began, m.Ended, time.Duration(m.Ended.T), m.From, m.To, m.By, over, clearer, swallowed)
		}
	},
}

var groupsTable = Table{
	Name: "groups.csv", Summary: "a group whose compressor's reduction is known, over a service",
	Columns: of(Column{"group", "its name"}, Column{"played_s", "so long it played music, with its reduction known"}, Column{"below_share", "of that, 0 to 1, below the window"},
		Column{"in_share", "in the window"}, Column{"over_share", "above it"}, Column{"median_db", "reduction in the middle, counted upwards"}, Column{"worst_db", "the most, as median of twenty seconds"},
		Column{"worst_at", "when that was"}, Column{"window_low_db", "the window by the limits of the house, those that were in force last"}, Column{"window_high_db", "likewise"}),
	write: func(put func(...any), r *Report) {
		w := r.course.last().Window
		for _, g := range r.Groups {
			put(r.Heading.ID, g.Who.Name, time.Duration(g.Played), g.Below, g.In, g.Over, g.Median, g.Worst, g.At, w.Low, w.High)
		}
	},
}

var levelsTable = Table{
	Name: "levels.csv", Summary: "where the mix stood at a second; those at which the desk was away are left out",
	Columns: of(Column{"at", "time of day"}, Column{"t_s", "since the service began"}, Column{"playing", "inputs in the mix"}, Column{"total_dbfs", "level at the main's output, by the model; empty for silence"},
		Column{"rise_db", "above the mark, the sum of the next four"}, Column{"faders_db", "of that, by the faders"}, Column{"stage_db", "by the players"}, Column{"groups_db", "by the groups"},
		Column{"main_db", "by the main fader"}),
	write: func(put func(...any), r *Report) {
		c := r.course
		for k := range c.Stretches {
			for i := range c.Stretches[k].Levels {
				l := &c.Stretches[k].Levels[i]
				t := c.since(k, l.T)
				put(r.Heading.ID, c.when(t), time.Duration(t), l.Playing, l.Total, l.Split.Total(), l.Split.Faders, l.Split.Stage, l.Split.Groups, l.Split.Main)
			}
		}
	},
}

func (c *course) levelSeconds() (n int) {
	for k := range c.Stretches {
		n += len(c.Stretches[k].Levels)
	}
	return n
}

var notesTable = Table{
	Name: "notes.csv", Summary: "a note or bookmark",
	Columns: of(Column{"at", "the moment that it is about"}, Column{"t_s", "since the service began"}, Column{"note", "empty for a bookmark"}, Column{"added", "when it was written"},
		Column{"afterwards", "yes if it was not written in the service itself"}, Column{"question", "yes if it was asked in the service, to be answered afterwards"}),
	write: func(put func(...any), r *Report) {
		for _, n := range r.Notes {
			put(r.Heading.ID, n.When, time.Duration(n.T), n.Text, n.Added, n.After, n.Question)
		}
	},
}

var figuresTable = Table{
	Name: "figures.csv", Summary: "a coaching figure of a service, with its definition",
	Columns: of(Column{"figure", "its name"}, Column{"about", "the group, for a figure that each has"}, Column{"value", "empty if there is none"},
		Column{"unit", "per_hour (of music), s, share (0 to 1), db or count"}, Column{"n", "of how many cases"}, Column{"cases", "what they are"}, Column{"more", "what else is told of them"},
		Column{"why_not", "why there is no value"}, Column{"means", "its definition"}),
	write: func(put func(...any), r *Report) {
		for _, f := range r.Figures {
			var value any
			if f.Value != nil {
				value = *f.Value
			}
			var more []string
			for _, p := range f.Parts {
				more = append(more, p.Text)
			}
			put(r.Heading.ID, f.Name, f.About, value, string(f.Unit), f.N, f.Cases, strings.Join(more, "; "), f.Why, f.Means)
		}
	},
}

// TablesREADME describes every column, to lie beside the tables.
func TablesREADME() string {
	var b strings.Builder
	b.WriteString(`These tables were written by pawl review --csv. They are UTF-8 with commas and a heading row, and open in any spreadsheet.

A column's name ends in its unit: _db decibels (gain reduction counts upwards), _dbfs decibels of full scale,
_s seconds, _share 0 to 1. Times of day are ISO 8601 with their zone. What is not known, or a closed fader, is an
empty cell. A text that a spreadsheet would take for a formula has an apostrophe before it. Rows belong to
services by the column service.
`)
	for _, t := range Tables() {
		fmt.Fprintf(&b, "\n%s: a row is %s\n", t.Name, t.Summary)
		for _, c := range t.Columns {
			fmt.Fprintf(&b, "  %-14s %s\n", c.Name, c.Means)
		}
	}
	return b.String()
}
