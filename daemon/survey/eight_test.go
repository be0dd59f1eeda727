package survey

import (
	"encoding/binary"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/oscmap"
	"pawl/oscmap/wire"
	"pawl/rules/desk"
)

// furtherDialect is one more way for the practice desk to speak, that only the proof of the
// first hour knows. Its map, written by hand, is the truth.
type furtherDialect struct {
	name   string
	tell   func(v practice.View, t practice.Topic, say func(address string, args ...any))
	meters func(v practice.View, say func(address string, args ...any))
	truth  string
}

func (d furtherDialect) Name() string { return d.name }
func (d furtherDialect) Map() []byte {
	return []byte("desk: " + d.name + "\nlink: {transport: udp, desk-port: 10700}\n\n" + d.truth)
}
func (d furtherDialect) Transport() string { return "udp" }

func saying(say func([]byte)) func(string, ...any) {
	return func(address string, args ...any) { say(practice.Message(address, args...)) }
}

func (d furtherDialect) Tell(v practice.View, about []practice.Topic, say func([]byte)) {
	for _, t := range about {
		d.tell(v, t, saying(say))
	}
}

func (d furtherDialect) Meters(v practice.View, say func([]byte)) { d.meters(v, saying(say)) }

func (d furtherDialect) Hear(*wire.Message) practice.Request { return practice.Request{} }

// kindOf is whose a topic is, and what it is of them; "" for what these dialects do not tell.
func kindOf(t practice.Topic) (strip, what string) {
	switch t.Kind {
	case practice.InputName:
		return "in", "called"
	case practice.InputFader:
		return "in", "up"
	case practice.InputMute:
		return "in", "shut"
	case practice.DCAFader:
		return "hand", "up"
	case practice.DCAMute:
		return "hand", "shut"
	case practice.GroupFader:
		return "sum", "up"
	case practice.GroupMute:
		return "sum", "shut"
	case practice.MainFader:
		return "all", "up"
	case practice.MainMute:
		return "all", "shut"
	}
	return "", ""
}

// plain is a dialect whose strips are told apart by a path, with values of its own.
func plain(path func(strip string, n int, what string) (string, []any), fader func(v practice.View, t practice.Topic) any, mute func(bool) any) func(practice.View, practice.Topic, func(string, ...any)) {
	return func(v practice.View, t practice.Topic, say func(string, ...any)) {
		strip, what := kindOf(t)
		if strip == "" {
			return
		}
		address, args := path(strip, t.Index, what)
		switch what {
		case "called":
			say(address, append(args, v.Hall().Strip(t))...)
		case "up":
			say(address, append(args, fader(v, t))...)
		case "shut":
			say(address, append(args, mute(v.Muted(t)))...)
		}
	}
}

func byPath(strip string, n int, what string) (string, []any) {
	if strip == "all" {
		return "/all/" + what, nil
	}
	return fmt.Sprintf("/%s/%d/%s", strip, n+1, what), nil
}

func byArgument(strip string, n int, what string) (string, []any) {
	if strip == "all" {
		return "/all/" + what, nil
	}
	return "/" + strip + "/" + what, []any{int32(n + 1)}
}

func asBool(m bool) any { return m }

func asInt(m bool) any { return map[bool]int32{true: 1}[m] }

func decibelsOr(closed float64) func(practice.View, practice.Topic) any {
	return func(v practice.View, t practice.Topic) any { return float32(max(v.Number(t), closed)) }
}

func tenths(x float64) int16 { return int16(math.Round(max(x, -200) * 10)) }

func blob16(values ...float64) []byte {
	var b []byte
	for _, v := range values {
		b = binary.LittleEndian.AppendUint16(b, uint16(tenths(v)))
	}
	return b
}

func floats32(values ...float64) []byte {
	var b []byte
	for _, v := range values {
		b = binary.BigEndian.AppendUint32(b, math.Float32bits(float32(max(v, -150))))
	}
	return b
}

// afterFader is what a meter behind an input's own fader and mute shows.
func afterFader(v practice.View, i int) float64 {
	if v.Muted(practice.Topic{Kind: practice.InputMute, Index: i}) {
		return math.Inf(-1)
	}
	return v.Number(practice.Topic{Kind: practice.InputLevel, Index: i}) + v.Number(practice.Topic{Kind: practice.InputFader, Index: i})
}

func rowOf(values []float64, floor float64) (args []any) {
	for _, v := range values {
		args = append(args, float32(max(v, floor)))
	}
	return args
}

func mainLevel(v practice.View) float64 { return v.Number(practice.Topic{Kind: practice.MainLevel}) }

// truths are the lines that most of the maps have.
func truths(fader string) string {
	return fmt.Sprintf(`
  - {hear: "/in/{input:1-16}/called", is: input.name, value: {arg: 0}}
  - {hear: "/in/{input:1-16}/up", is: input.fader, value: {arg: 0, %[1]s}}
  - {hear: "/hand/{dca:1-4}/up", is: dca.fader, value: {arg: 0, %[1]s}}
  - {hear: "/sum/{group:1-4}/up", is: group.fader, value: {arg: 0, %[1]s}}
  - {hear: /all/up, is: main.fader, value: {arg: 0, %[1]s}}
`, fader)
}

const mutes = `
  - {hear: "/in/{input:1-16}/shut", is: input.mute, value: {arg: 0}}
  - {hear: "/hand/{dca:1-4}/shut", is: dca.mute, value: {arg: 0}}
  - {hear: "/sum/{group:1-4}/shut", is: group.mute, value: {arg: 0}}
  - {hear: /all/shut, is: main.mute, value: {arg: 0}}
`

const positions = "tapers:\n  throw: [[0, -inf], [SMALL, -80], [THIRD, -36], [SIX, -12], [EIGHT, 0], [TOP, 6]]\n"

// throwTo is the practice desk's scale, from 0 to a number.
func throwTo(top float64) string {
	at := func(x float64) string { return plainNumber(x * top) }
	return strings.NewReplacer("SMALL", at(0.0002), "THIRD", at(0.3), "SIX", at(0.6), "EIGHT", at(0.8), "TOP", at(1)).Replace(positions)
}

// bentAt is where a gain stands on a scale of its own, from 0 to 1, without a straight piece:
// ever steeper downwards, so that no mark is where it bends.
func bentAt(db float64) float64 {
	if math.IsInf(db, -1) {
		return 0
	}
	return max(1-math.Log(1+(6-db)/15)/2.2, 0)
}

// bentTo is that scale as a taper, from 0 to a number, with so many points that straight
// lines between them are as good.
func bentTo(top float64) string {
	var points []string
	for db := -100.0; db <= 6; db += 0.5 {
		if x := bentAt(db); x > 0 {
			points = append(points, fmt.Sprintf("[%s, %s]", plainNumber(x*top), plainNumber(db)))
		}
	}
	return "tapers:\n  throw: [[0, -inf], " + strings.Join(points, ", ") + "]\n"
}

// eight are the dialects.
func eight() []furtherDialect {
	return []furtherDialect{
		{"commas", plain(byPath, func(v practice.View, t practice.Topic) any {
			if x := v.Number(t); !math.IsInf(x, -1) {
				return strings.ReplaceAll(fmt.Sprintf("%.1f dB", x), ".", ",")
			}
			return "-oo"
		}, func(m bool) any { return map[bool]string{true: "yes", false: "no"}[m] }),
			func(v practice.View, say func(string, ...any)) {
				for i, x := range v.Row(practice.InputLevel) {
					say(fmt.Sprintf("/in/%d/loud", i+1), fmt.Sprintf("%.1f dB", max(x, -99)))
				}
				say("/all/loud", fmt.Sprintf("%.1f dB", max(mainLevel(v), -99)))
			},
			"signals:" + truths("unit: dB") + mutes + `
  - {hear: "/in/{input:1-16}/loud", is: input.level, tap: pre-fader, value: {arg: 0, unit: dBFS}}
  - {hear: /all/loud, is: main.level, value: {arg: 0, unit: dBFS}}
`},
		{"tenths", plain(byPath, func(v practice.View, t practice.Topic) any { return int32(tenths(v.Number(t))) }, asInt),
			func(v practice.View, say func(string, ...any)) {
				say("/loud/in", blob16(v.Row(practice.InputLevel)...))
				say("/loud/sum", blob16(v.Row(practice.GroupLevel)...))
				say("/loud/all", blob16(mainLevel(v)))
			},
			"signals:" + truths("unit: dB, scale: 0.1, minus-infinity: -2000") + mutes + `
  - {hear: /loud/in, is: input.level, tap: pre-fader, value: {blob: 0, of: int16-le, each: "input:1-16", unit: dBFS, scale: 0.1, minus-infinity: -2000}}
  - {hear: /loud/sum, is: group.level, value: {blob: 0, of: int16-le, each: "group:1-4", unit: dBFS, scale: 0.1, minus-infinity: -2000}}
  - {hear: /loud/all, is: main.level, value: {blob: 0, of: int16-le, unit: dBFS, scale: 0.1, minus-infinity: -2000}}
`},
		{"woven", plain(byPath, func(v practice.View, t practice.Topic) any { return float32(v.Step(t)) / 4000 }, asBool),
			func(v practice.View, say func(string, ...any)) {
				var all []float64
				for i, x := range v.Row(practice.InputLevel) {
					all = append(all, x, afterFader(v, i))
				}
				say("/loud", floats32(append(all, mainLevel(v))...))
			},
			throwTo(1) + "signals:" + truths("taper: throw") + mutes + `
  - {hear: /loud, is: input.level, tap: pre-fader, value: {blob: 0, of: float32-be, stride: 8, each: "input:1-16", unit: dBFS}}
  - {hear: /loud, is: input.level, tap: post-fader, value: {blob: 0, of: float32-be, skip: 4, stride: 8, each: "input:1-16", unit: dBFS}}
  - {hear: /loud, is: main.level, value: {blob: 0, of: float32-be, skip: 128, unit: dBFS}}
`},
		{"banks", func(v practice.View, t practice.Topic, say func(string, ...any)) {
			if strip, what := kindOf(t); strip == "in" && what == "up" {
				bank := t.Index / 8
				var args []any
				for i := range 8 {
					args = append(args, float32(max(v.Number(practice.Topic{Kind: practice.InputFader, Index: 8*bank + i}), -144)))
				}
				say(fmt.Sprintf("/bank/%d/up", bank+1), args...)
				return
			}
			plain(byPath, decibelsOr(-144), asInt)(v, t, say)
		}, func(v practice.View, say func(string, ...any)) {
			say("/loud/in", rowOf(v.Row(practice.InputLevel), -120)...)
			say("/loud/all", float32(max(mainLevel(v), -120)))
		},
			"signals:" + strings.Replace(truths("unit: dB, minus-infinity: -144"), `  - {hear: "/in/{input:1-16}/up", is: input.fader, value: {arg: 0, unit: dB, minus-infinity: -144}}`, `
  - {hear: /bank/1/up, is: input.fader, value: {args: 0, each: "input:1-8", unit: dB, minus-infinity: -144}}
  - {hear: /bank/2/up, is: input.fader, value: {args: 0, each: "input:9-16", unit: dB, minus-infinity: -144}}`, 1) + mutes + `
  - {hear: /loud/in, is: input.level, tap: pre-fader, value: {args: 0, each: "input:1-16", unit: dBFS}}
  - {hear: /loud/all, is: main.level, value: {arg: 0, unit: dBFS}}
`},
		{"counted", plain(byArgument, decibelsOr(-144), asInt),
			func(v practice.View, say func(string, ...any)) {
				for i, x := range v.Row(practice.InputLevel) {
					say("/in/loud", int32(i+1), float32(max(x, -120)))
				}
				say("/all/loud", float32(max(mainLevel(v), -120)))
			}, `signals:
  - {hear: /in/called, is: input.name, which: {input: 1-16, arg: 0}, value: {arg: 1}}
  - {hear: /in/up, is: input.fader, which: {input: 1-16, arg: 0}, value: {arg: 1, unit: dB, minus-infinity: -144}}
  - {hear: /in/shut, is: input.mute, which: {input: 1-16, arg: 0}, value: {arg: 1}}
  - {hear: /hand/up, is: dca.fader, which: {dca: 1-4, arg: 0}, value: {arg: 1, unit: dB, minus-infinity: -144}}
  - {hear: /hand/shut, is: dca.mute, which: {dca: 1-4, arg: 0}, value: {arg: 1}}
  - {hear: /sum/up, is: group.fader, which: {group: 1-4, arg: 0}, value: {arg: 1, unit: dB, minus-infinity: -144}}
  - {hear: /sum/shut, is: group.mute, which: {group: 1-4, arg: 0}, value: {arg: 1}}
  - {hear: /all/up, is: main.fader, value: {arg: 0, unit: dB, minus-infinity: -144}}
  - {hear: /all/shut, is: main.mute, value: {arg: 0}}
  - {hear: /in/loud, is: input.level, tap: pre-fader, which: {input: 1-16, arg: 0}, value: {arg: 1, unit: dBFS}}
  - {hear: /all/loud, is: main.level, value: {arg: 0, unit: dBFS}}
`},
		{"steps", plain(byPath, func(v practice.View, t practice.Topic) any {
			return int32(math.Round(16383 * bentAt(v.Number(t))))
		}, asInt),
			func(v practice.View, say func(string, ...any)) {
				for i := range v.Row(practice.InputLevel) {
					say(fmt.Sprintf("/in/%d/loud", i+1), int32(math.Round(256*max(afterFader(v, i), -100))))
				}
				say("/all/loud", int32(math.Round(256*max(mainLevel(v), -100))))
			},
			bentTo(16383) + "signals:" + truths("taper: throw") + mutes + `
  - {hear: "/in/{input:1-16}/loud", is: input.level, tap: post-fader, value: {arg: 0, unit: dB/256}}
  - {hear: /all/loud, is: main.level, value: {arg: 0, unit: dB/256}}
`},
		{"called", func(v practice.View, t practice.Topic, say func(string, ...any)) {
			strip, what := kindOf(t)
			if strip == "" || what == "called" {
				return
			}
			plain(func(strip string, _ int, what string) (string, []any) {
				if strip == "all" {
					return "/all/" + what, nil
				}
				return "/" + strip + "/" + strings.ReplaceAll(v.Hall().Strip(t), " ", "_") + "/" + what, nil
			}, decibelsOr(-144), asBool)(v, t, say)
		}, func(v practice.View, say func(string, ...any)) {
			say("/loud/in", rowOf(v.Row(practice.InputLevel), -120)...)
			say("/loud/all", float32(max(mainLevel(v), -120)))
		}, `signals:
  - {hear: "/in/{input-name}/up", is: input.fader, value: {arg: 0, unit: dB, minus-infinity: -144}}
  - {hear: "/in/{input-name}/shut", is: input.mute, value: {arg: 0}}
  - {hear: "/hand/{dca-name}/up", is: dca.fader, value: {arg: 0, unit: dB, minus-infinity: -144}}
  - {hear: "/hand/{dca-name}/shut", is: dca.mute, value: {arg: 0}}
  - {hear: "/sum/{group-name}/up", is: group.fader, value: {arg: 0, unit: dB, minus-infinity: -144}}
  - {hear: "/sum/{group-name}/shut", is: group.mute, value: {arg: 0}}
  - {hear: /all/up, is: main.fader, value: {arg: 0, unit: dB, minus-infinity: -144}}
  - {hear: /all/shut, is: main.mute, value: {arg: 0}}
  - {hear: /loud/in, is: input.level, tap: pre-fader, value: {args: 0, each: "input:1-16", unit: dBFS}}
  - {hear: /loud/all, is: main.level, value: {arg: 0, unit: dBFS}}
`},
		{"mixed", plain(byPath, func(v practice.View, t practice.Topic) any {
			if x := v.Number(t); !math.IsInf(x, -1) {
				return fmt.Sprintf("%+.2f", x)
			}
			return "-inf"
		}, func(m bool) any { return !m }),
			func(v practice.View, say func(string, ...any)) {
				var after []float64
				for i := range v.Row(practice.InputLevel) {
					after = append(after, afterFader(v, i))
				}
				say("/loud/after", rowOf(after, -90)...)
				say("/loud/in", rowOf(v.Row(practice.InputLevel), -90)...)
				say("/loud/all", float32(max(mainLevel(v), -90)))
			},
			"signals:" + truths("unit: dB") + strings.ReplaceAll(mutes, "{arg: 0}", "{arg: 0, invert: yes}") + `
  - {hear: /loud/in, is: input.level, tap: pre-fader, value: {args: 0, each: "input:1-16", unit: dBFS}}
  - {hear: /loud/after, is: input.level, tap: post-fader, value: {args: 0, each: "input:1-16", unit: dBFS}}
  - {hear: /loud/all, is: main.level, value: {arg: 0, unit: dBFS}}
`},
	}
}

// careless is hand of somebody who takes the second fader for the first, types no minus and
// presses Enter too early once.
func careless(marks []string) []line {
	all := []line{{}, {"fader upright bass to closed over 1s", ""}, {"fader upright bass to 0 dB over 1s", "that was input 2"}}
	for i, l := range hand(marks)[1:] {
		if i == 2 { // Enter before the hand was there
			all = append(all, line{"", ""})
		}
		l.typed = strings.TrimPrefix(l.typed, "-")
		all = append(all, l)
	}
	return all
}

// minutes is a person's time by a stated model: 5 s to read a question, 3 s for a move with
// 2 s of waiting, 4 s to type something, 1 s for Enter.
func minutes(lines []line) float64 {
	seconds := 0.0
	for _, l := range lines {
		seconds += 6
		if l.move != "" {
			seconds += 5
		}
		if l.typed != "" {
			seconds += 4
		}
	}
	return seconds / 60
}

// TestEightFurtherDialects is the proof of the first hour: dialects that nothing was tuned
// to, each with somebody of average care and somebody of little. No line that is written
// without a # may be false; what is told, how far the faders are off at the marks and halfway
// between them, and how long it takes a person, stands in a golden file.
func TestEightFurtherDialects(t *testing.T) {
	practicetest.SkipRaced(t)
	table := []string{"# Signals told as by hand, of those in the hand-written map; false lines; how far input faders are off",
		"# in dB at 13 gains from 6 to -48; a person's minutes by the model of minutes.", "#", "# dialect  care    told      false  faders  minutes"}
	rows := make([][]string, len(eight()))
	t.Run("each", func(t *testing.T) {
		for i, d := range eight() {
			t.Run(d.name, func(t *testing.T) {
				t.Parallel()
				for _, person := range []struct {
					care  string
					lines []line
				}{{"usual", hand(printed)}, {"little", careless(printed)}} {
					if d.name == "banks" { // where one more question is asked, before the mute
						i := slices.IndexFunc(person.lines, func(l line) bool { return strings.HasPrefix(l.move, "mute cajon") })
						person.lines = slices.Insert(slices.Clone(person.lines), i, line{"fader upright bass to -3 dB over 1s", ""})
					}
					s, g, talk := guided(t, practice.Play(played(t, person.lines), d, practice.Playing{}), person.lines)
					draft := s.Draft(g, DraftOptions{Desk: d.name})
					want, got := load(t, d.Map()), load(t, []byte(draft))
					right, missing, wrong := compare(t, d, want, got, g)
					if len(wrong) > 0 {
						t.Errorf("%s, %s care: false: %s\n%s\n%s", d.name, person.care, strings.Join(wrong, "\n"), talk, draft)
					}
					off := "-"
					if got.HearsSignal(desk.InputFader) {
						off = fmt.Sprintf("%.2f", fadersOff(t, d, got))
					}
					row := fmt.Sprintf("%-10s %-6s  %2d of %2d  %5d  %6s  %7.1f", d.name, person.care, right, right+len(missing)+len(wrong), len(wrong), off, minutes(person.lines))
					if len(missing) > 0 {
						row += "  not told: " + strings.Join(missing, ", ")
					}
					rows[i] = append(rows[i], row)
				}
			})
		}
	})
	for _, r := range rows {
		table = append(table, r...)
	}
	golden(t, "eight.txt", strings.Join(table, "\n")+"\n")
}

// fadersOff is how far the second input's fader is off by a draft, at the marks that were
// given and halfway between them.
func fadersOff(t *testing.T, d furtherDialect, drafted *oscmap.Map) (worst float64) {
	t.Helper()
	gains := []float64{6, 4.5, 3, 1.5, 0, -3, -6, -9, -12, -18, -24, -30, -36}
	var moves strings.Builder
	for i, g := range gains {
		fmt.Fprintf(&moves, "%ds fader upright bass to %v dB over 1s\n", 4*i+2, g)
	}
	script, err := practice.ParseScript("gains.txt", []byte(fmt.Sprintf("length %ds\nexpect nothing\n0s play cajon\n%s", 4*len(gains)+4, moves.String())))
	if err != nil {
		t.Fatal(err)
	}
	h, at := drafted.NewHearer(), math.NaN()
	next, compared := 0, 0
	var r wire.Reader
	for now, packet := range practice.Play(script, d, practice.Playing{}) {
		// Two seconds after a move it has come to rest.
		if next < len(gains) && now >= time.Duration(4*next+5)*time.Second {
			if off := math.Abs(at - gains[next]); !math.IsNaN(off) {
				worst, compared = max(worst, off), compared+1
			}
			next++
		}
		for r.Reset(packet); r.Next(); {
			for k, v := range readings(h, now, r.Message()) {
				if k.signal == desk.InputFader && k.index == 1 {
					at = v.Value
				}
			}
		}
	}
	if compared < len(gains) {
		return math.NaN()
	}
	return worst
}
