package review

import (
	"fmt"
	"io"
	"strings"
	"time"

	"pawl/rules/desk"
)

// ListText writes a list of services for a terminal, the newest first, and the one thing
// to practise.
func ListText(w io.Writer, services []Listed, o Options, to TextOptions) error {
	p := newPen(w, to)
	for i := range services {
		h := &services[i].Heading
		p.beside(fmt.Sprintf("%5d", h.ID), 7, bold, h.Title)
		p.para(7, plain, h.line())
	}
	p.heading("One thing to practise")
	if one := ChooseOneThing(services, o); one != nil {
		p.para(2, plain, one.What)
		p.para(2, dim, one.Why)
		for _, m := range one.Moments {
			p.beside("  "+m.At.Format("Mon 2 Jan, 15:04:05"), 25, plain, fmt.Sprintf("%s (service %d)", m.Text, m.Service))
		}
	} else {
		p.para(2, plain, "Nothing was common enough in the last services to be one.")
	}
	p.heading(fmt.Sprintf("The last %s, the earliest first", many(min(len(services), lastPoints), "service")))
	trends := Trends(services, o)
	for i := range trends {
		p.trend(&trends[i], i+1 == len(trends) || trends[i+1].Means != trends[i].Means)
	}
	return p.w.Flush()
}

// line is a service in a list.
func (h *Heading) line() string {
	text := h.Began.Format("Mon 2 Jan 2006, 15:04")
	if h.Name == "" {
		text = h.House
	}
	text += fmt.Sprintf(": %s, music %s; %s, %s shown", length(time.Duration(h.Length)), length(time.Duration(h.Music)), many(h.Moves, "move"), many(h.Cards, "card"))
	if h.Mixing != "" {
		text += "; mixing: " + h.Mixing
	}
	if h.GoesOn {
		text += "; it goes on"
	}
	return text
}

// lastPoints is how many services a trend shows on a terminal.
const lastPoints = 8

func (p *pen) trend(t *Trend, define bool) {
	var values []string
	for _, point := range t.Points[max(0, len(t.Points)-lastPoints):] {
		text := none
		if point.Value != nil {
			of := fmt.Sprintf("n %d", point.N)
			if t.Name == "window" { // whose cases are seconds
				of = "of " + length(time.Duration(point.N)*time.Second)
			}
			text = fmt.Sprintf("%s (%s)", number(*point.Value, t.Unit), of)
		}
		values = append(values, text)
	}
	shown := strings.Join(values, " · ")
	if t.Rests == 0 {
		shown = none
	}
	p.beside("  "+t.Title, figureColumn(p.width), plain, shown)
	told := unitWords[t.Unit] + " " + t.Text
	if define {
		told += " " + t.Means
	}
	p.para(figureColumn(p.width), dim, told)
}

var unitWords = map[Unit]string{
	PerHour: "In an hour of music.", Seconds: "Length of time.", Share: "Share.", Decibels: "In dB.", Count: "A count.",
}

// number is a value as a person reads it, with its unit.
func number(v float64, u Unit) string {
	switch u {
	case Share:
		return fmt.Sprintf("%.0f %%", 100*v)
	case Seconds:
		return length(time.Duration(v * float64(time.Second)))
	case Count:
		return fmt.Sprintf("%.0f", v)
	case Decibels:
		return signed(desk.DB(v))
	}
	return fmt.Sprintf("%.1f", v)
}
