package oscmap

import (
	"slices"
	"time"

	"pawl/oscmap/sheet"
	"pawl/rules/desk"
)

// file is a map as it is written.
type file struct {
	Desk    sheet.At[string]                              `yaml:"desk" jsonschema:"required" doc:"What this desk is called on the pages."`
	Link    linkPart                                      `yaml:"link" doc:"How the desk is reached, and everything Pawl may ever send."`
	Strips  stripsPart                                    `yaml:"strips" doc:"How the desk numbers its strips, where an address says {input} alone."`
	Tapers  sheet.Map[string, sheet.At[[]taperPointPart]] `yaml:"tapers" doc:"How fader positions become decibels."`
	Signals sheet.At[[]signalPart]                        `yaml:"signals" jsonschema:"required" doc:"What is heard at which address."`
}

type linkPart struct {
	Transport  sheet.At[Transport]     `yaml:"transport" doc:"How packets travel."`
	DeskPort   int                     `yaml:"desk-port" jsonschema:"minimum=1,maximum=65535" doc:"Where the desk listens."`
	ListenPort int                     `yaml:"listen-port" jsonschema:"minimum=1,maximum=65535" doc:"Where the desk sends, if always to one port."`
	StaleAfter sheet.At[time.Duration] `yaml:"stale-after" doc:"How long this desk may be quiet before it counts as gone."`
	Ask        []askPart               `yaml:"ask" doc:"Everything Pawl may ever send."`
}

type askPart struct {
	sheet.Place
	Send         sheet.At[string]            `yaml:"send" jsonschema:"required" sheet:"short" doc:"The address. {input} in it makes one ask per input."`
	Args         []argPart                   `yaml:"args" doc:"The arguments, each with its type."`
	On           sheet.Some[sheet.At[event]] `yaml:"on" doc:"When to send it."`
	Every        sheet.At[time.Duration]     `yaml:"every" doc:"How often to send it."`
	AfterSilence sheet.At[time.Duration]     `yaml:"after-silence" doc:"Send it when nothing was heard for so long."`
	Because      sheet.At[string]            `yaml:"moves-nothing-because" doc:"Where you read that it moves nothing, if it carries arguments and the map cannot show it. pawl check repeats it each time."`
}

// event is when an ask is due.
type event string

// Words are the words a map may use.
func (event) Words() []string { return []string{"connect", "return"} }

type stripsPart struct {
	Input sheet.At[span] `yaml:"input" doc:"As in 1-16, 0-15, 01-16, A-H, or 33-48=1."`
	DCA   sheet.At[span] `yaml:"dca" doc:"As for input."`
	Group sheet.At[span] `yaml:"group" doc:"As for input."`
}

func (p *stripsPart) of(s desk.Strip) sheet.At[span] {
	return []sheet.At[span]{p.Input, p.DCA, p.Group}[slices.Index(indexed, s)]
}

type signalPart struct {
	sheet.Place
	Hear     sheet.At[string]                 `yaml:"hear" jsonschema:"required" doc:"The address, with {input}, {dca} or {group} where an index stands."`
	Is       sheet.Some[sheet.At[signalWord]] `yaml:"is" jsonschema:"required" doc:"Which signal it carries."`
	Which    sheet.Some[whichPart]            `yaml:"which" doc:"Which strip, where the address does not say."`
	When     sheet.Some[whenPart]             `yaml:"when" doc:"Hear the message only if an argument says so."`
	Value    valuePart                        `yaml:"value" doc:"Where the value is, and what it means."`
	Tap      sheet.At[tap]                    `yaml:"tap" doc:"Where the desk takes the level."`
	Detector sheet.At[detector]               `yaml:"detector" doc:"What the meter shows."`
}

// signalWord is a rules.Signal by its word.
type signalWord uint8

// Words are the words a map may use.
func (signalWord) Words() []string {
	words := []string{""}
	for _, s := range desk.Signals() {
		words = append(words, s.String())
	}
	return words
}

// tap is where a meter is taken.
type tap string

// Words are the words a map may use.
func (tap) Words() []string { return []string{"pre-fader", "post-fader"} }

// detector is what a meter shows of the signal.
type detector string

// Words are the words a map may use.
func (detector) Words() []string { return []string{"peak", "rms"} }

// whichPart gives one index: fixed, or out of an argument.
type whichPart struct {
	sheet.Place
	Input sheet.At[span] `yaml:"input" doc:"The numbers in the argument, as in 1-16; all; by-name; or one number and no arg."`
	DCA   sheet.At[span] `yaml:"dca" doc:"As for input."`
	Group sheet.At[span] `yaml:"group" doc:"As for input."`
	Arg   sheet.At[int]  `yaml:"arg" jsonschema:"minimum=0,maximum=65535" doc:"Which argument holds it, counted from 0."`
}

type whenPart struct {
	sheet.Place
	Arg sheet.At[int]                 `yaml:"arg" jsonschema:"required,minimum=0,maximum=65535" doc:"Which argument, counted from 0."`
	Is  sheet.Some[sheet.At[literal]] `yaml:"is" jsonschema:"required" doc:"The text or number it must hold."`
}

// valuePart says where the value is and what it means.
type valuePart struct {
	sheet.Place
	Arg  sheet.At[int]      `yaml:"arg" jsonschema:"minimum=0,maximum=65535" doc:"The argument that holds it, counted from 0."`
	Args sheet.At[int]      `yaml:"args" jsonschema:"minimum=0,maximum=65535" doc:"The first of several arguments, one value each."`
	Blob sheet.At[int]      `yaml:"blob" jsonschema:"minimum=0,maximum=65535" doc:"The argument that is a blob of values."`
	Bang sheet.At[constant] `yaml:"bang" doc:"The message carries no value; its arrival means this one."`

	Of     sheet.At[Layout]               `yaml:"of" doc:"How a value lies in the blob."`
	Skip   sheet.At[int]                  `yaml:"skip" jsonschema:"minimum=0,maximum=65535" doc:"Bytes of the blob before the first value."`
	Stride sheet.At[int]                  `yaml:"stride" jsonschema:"minimum=1,maximum=65535" doc:"From one value to the next: bytes in a blob, arguments otherwise."`
	Count  *countPart                     `yaml:"count" doc:"The field that says how many values follow."`
	Each   sheet.Some[sheet.At[eachSpan]] `yaml:"each" doc:"What the values are in order of, outermost first."`
	Bits   sheet.At[eachSpan]             `yaml:"bits" doc:"Each bit is one of these, the lowest bit first."`
	OneOf  sheet.At[eachSpan]             `yaml:"one-of" doc:"The number, or the word, says which one of these: it is on, the others are off."`
	None   sheet.Some[sheet.At[literal]]  `yaml:"none" doc:"With one-of: what says none of them."`
	Main   sheet.Some[sheet.At[literal]]  `yaml:"main" doc:"With one-of: what says straight to the main; is: [input.group, input.main]."`
	Bit    sheet.At[int]                  `yaml:"bit" jsonschema:"minimum=0,maximum=63" doc:"The bit that counts; with bits, the first."`

	Taper         sheet.At[string]                      `yaml:"taper" doc:"The taper that turns a position into decibels."`
	Outside       sheet.At[outside]                     `yaml:"outside" doc:"What becomes of positions beyond the taper's points; without it those just beyond count for the end and others are refused."`
	Unit          sheet.At[unit]                        `yaml:"unit" doc:"What the number is in."`
	Scale         sheet.At[factor]                      `yaml:"scale" doc:"Multiply by this first; 1/256 may be written so."`
	Offset        sheet.At[float64]                     `yaml:"offset" doc:"Add this after scale."`
	Invert        sheet.At[bool]                        `yaml:"invert" doc:"On means off."`
	Words         sheet.Map[string, sheet.At[constant]] `yaml:"words" doc:"What each text or number means."`
	MinusInfinity sheet.Some[sheet.At[bound]]           `yaml:"minus-infinity" doc:"Numbers, before scale, that mean nothing at all: -120, or <= -110."`
	Sign          sheet.At[sign]                        `yaml:"sign" doc:"The sign of gain reduction; without it either is taken."`
}

type countPart struct {
	sheet.Place
	At      sheet.At[int]    `yaml:"at" jsonschema:"minimum=0,maximum=65535" doc:"Where in the blob, in bytes."`
	Of      sheet.At[Layout] `yaml:"of" doc:"How it lies there."`
	Arg     sheet.At[int]    `yaml:"arg" jsonschema:"minimum=0,maximum=65535" doc:"Or the argument that holds it."`
	Believe sheet.At[bool]   `yaml:"believe" doc:"Whether it is right; true unless written."`
}

// sign is how a desk writes gain reduction of 6 dB: as 6 or as -6.
type sign string

// Words are the words a map may use.
func (sign) Words() []string { return []string{"positive", "negative"} }
