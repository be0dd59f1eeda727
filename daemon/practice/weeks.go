package practice

import (
	"embed"
	"fmt"
	"strings"
	"time"
)

// Each piece ends as it began, so that any may follow any other.
//
//go:embed pieces/*.txt
var pieces embed.FS

// Week is a made-up service of one of the weeks before the demo.
type Week struct {
	Mixing string // who mixed it, as a house would call them
	Script *Script
	Parts  []Part
}

// Part is a piece that a Week is made of.
type Part struct {
	At    time.Duration
	Piece string // its file's name without the ending: "reel-back"
}

// Weeks are eight services, the earliest first: in the first hands ratchet, push and
// forget a microphone, and in the last they hardly do.
func Weeks() []Week {
	weeks := []Week{
		week("early team", "tune reel reading-muted push reel ballad"),
		week("late team", "reel tune reading reel push"),
		week("early team", "tune reel reading-muted behind reel-back ballad"),
		week("late team", "reel reading push headphones reel-back tune"),
		week("early team", "tune reel-back reading behind reel ballad"),
		week("late team", "tune reel-back reading-muted push-back reel-light ballad"),
		week("early team", "tune reel-light reading reel-back tune"),
		week("late team", "ballad reel-light reading tune push-back reel-light"),
	}
	for i := range weeks {
		weeks[i].Script.Name = fmt.Sprintf("week-%d", i+1)
	}
	return weeks
}

// week makes one service of pieces, one straight after the other.
func week(mixing, names string) Week {
	w := Week{Mixing: mixing, Script: &Script{hall: harbourHall, style: inSteps}}
	for _, name := range strings.Fields(names) {
		p := Piece(name)
		w.Parts = append(w.Parts, Part{w.Script.Length, name})
		for _, c := range p.cues {
			c.at += w.Script.Length
			w.Script.cues = append(w.Script.cues, c)
		}
		w.Script.Length += p.Length
	}
	return w
}

// Piece is one of the pieces that the weeks are made of, by its name.
func Piece(name string) *Script {
	file := name + ".txt"
	src, err := pieces.ReadFile("pieces/" + file)
	if err != nil {
		panic(err) // the files are part of the program, and a test plays each
	}
	s, err := ParseScript(file, src)
	if err != nil {
		panic(err)
	}
	return s
}
