package review

import (
	"strconv"
	"strings"
	"time"

	"pawl/rules"
	"pawl/rules/desk"
	"pawl/rules/words"
)

// tongue says in a language what a report says besides its findings.
type tongue struct{ *words.Speaker }

func (t tongue) say(p rules.Phrase) string { return t.Say(p) }

// fixed is a text of the report that takes nothing.
func (t tongue) fixed(name string) string { return t.Say(rules.Phrase{ID: "report." + name}) }

// signed is a change with its sign and unit, and bare is one without a sign.
func (t tongue) signed(v desk.DB) string { return t.Say(rules.Say("report.signed", rules.DB("v", v))) }
func (t tongue) bare(v desk.DB) string   { return t.Say(rules.Say("report.bare", rules.DB("v", v))) }

// percent is a share of 0 to 1.
func (t tongue) percent(share float64) string {
	return t.Say(rules.Say("figure.percent", percent("percent", share)))
}

func (t tongue) moves(n int) string    { return t.Say(rules.Say("report.moves", rules.Number("n", n))) }
func (t tongue) raises(n int) string   { return t.Say(rules.Say("report.raises", rules.Number("n", n))) }
func (t tongue) lowers(n int) string   { return t.Say(rules.Say("report.lowers", rules.Number("n", n))) }
func (t tongue) findings(n int) string { return t.Say(rules.Say("report.found", rules.Number("n", n))) }
func (t tongue) cards(n int) string    { return t.Say(rules.Say("report.cards", rules.Number("n", n))) }
func (t tongue) lines(n int) string    { return t.Say(rules.Say("report.lines", rules.Number("n", n))) }

// on gives a phrase the parts of a date, for it to put in order: the names of days and
// months whole and short, as the language has them.
func (t tongue) on(p rules.Phrase, at time.Time) string {
	day := t.named("report.weekdays", int(at.Weekday()))
	month := t.named("report.months", int(at.Month())-1)
	return t.Say(p.Quoting("weekday", day).Quoting("wd", shortly(day)).Quoting("month", month).Quoting("mon", shortly(month)).
		Quoting("day", strconv.Itoa(at.Day())).Quoting("year", strconv.Itoa(at.Year())).Quoting("at", at.Format("15:04")))
}

// named is one of a list of names with commas between.
func (t tongue) named(list string, i int) string {
	return strings.Split(t.Say(rules.Phrase{ID: list}), ", ")[i]
}

// shortly is the first three letters of a name.
func shortly(name string) string { return string([]rune(name)[:3]) }
