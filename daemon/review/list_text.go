package review

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"pawl/rules"
	"pawl/rules/desk"
)

// ListText writes a list of services for a terminal, the newest first, and the one thing
// to practise.
func ListText(w io.Writer, services []Listed, o Options, to TextOptions) error {
	p, t := newPen(w, to), tongue{o.filled().Speaker}
	for i := range services {
		h := &services[i].Heading
		p.beside(fmt.Sprintf("%5d", h.ID), 7, bold, h.Title)
		p.para(7, plain, h.line(t))
	}
	p.heading(t.fixed("practise"))
	if one := ChooseOneThing(services, o); one != nil {
		p.para(2, plain, one.What)
		p.para(2, dim, one.Why)
		for _, m := range one.Moments {
			p.beside("  "+t.on(rules.Say("report.short-day"), m.At)+m.At.Format(", 15:04:05"), 25, plain, t.say(rules.Say("report.of-service").Quoting("text", m.Text).Quoting("number", strconv.FormatInt(m.Service, 10))))
		}
	} else {
		p.para(2, plain, t.fixed("nothing-common"))
	}
	p.heading(t.say(rules.Say("report.last", rules.Number("n", min(len(services), lastPoints)))))
	trends := Trends(services, o)
	for i := range trends {
		p.trend(t, &trends[i], i+1 == len(trends) || trends[i+1].Means != trends[i].Means)
	}
	return p.w.Flush()
}

// line is a service in a list.
func (h *Heading) line(t tongue) string {
	text := t.on(rules.Say("report.short-date"), h.Began)
	if h.Name == "" {
		text = h.House
	}
	text += ": " + t.say(rules.Say("report.in-list").Quoting("length", length(time.Duration(h.Length))).Quoting("music", length(time.Duration(h.Music))).
		Quoting("moves", t.moves(h.Moves)).Quoting("cards", t.cards(h.Cards)))
	if h.Mixing != "" {
		text += "; " + t.say(rules.Say("report.list-mixing").Quoting("who", h.Mixing))
	}
	if h.Unread > 0 {
		text += "; " + t.say(rules.Say("report.list-unread", rules.Number("n", h.Unread)))
	}
	if h.broken {
		text += "; " + t.fixed("list-broken")
	}
	if h.GoesOn {
		text += "; " + t.fixed("goes-on")
	}
	return text
}

// lastPoints is how many services a trend shows on a terminal.
const lastPoints = 8

func (p *pen) trend(say tongue, t *Trend, define bool) {
	var values []string
	for _, point := range t.Points[max(0, len(t.Points)-lastPoints):] {
		text := none
		if point.Value != nil {
			of := fmt.Sprintf("n %d", point.N)
			if t.Name == "window" { // whose cases are seconds
				of = say.say(rules.Say("report.of").Quoting("length", length(time.Duration(point.N)*time.Second)))
			}
			text = fmt.Sprintf("%s (%s)", say.number(*point.Value, t.Unit), of)
		}
		values = append(values, text)
	}
	shown := strings.Join(values, " · ")
	if t.Rests == 0 {
		shown = none
	}
	p.beside("  "+t.Title, figureColumn(p.width), plain, shown)
	told := say.fixed("unit-"+string(t.Unit)) + " " + t.Text
	if define {
		told += " " + t.Means
	}
	p.para(figureColumn(p.width), dim, told)
}

// number is a value as a person reads it, with its unit.
func (t tongue) number(v float64, u Unit) string {
	switch u {
	case Share:
		return t.percent(v)
	case Seconds:
		return length(time.Duration(v * float64(time.Second)))
	case Count:
		return fmt.Sprintf("%.0f", v)
	case Decibels:
		return t.signed(desk.DB(v))
	}
	return t.say(rules.Say("report.number", num("v", v)))
}
