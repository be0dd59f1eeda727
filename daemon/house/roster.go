package house

import (
	"fmt"
	"maps"
	"slices"

	"pawl/oscmap/sheet"
	"pawl/rules/desk"
)

// rosterSheet is the roster as it is written, by the desk's own numbers from 1.
type rosterSheet struct {
	Inputs sheet.Map[int, inputSheet]       `yaml:"inputs" jsonschema:"required" doc:"The inputs by number."`
	DCAs   sheet.Map[int, sheet.At[string]] `yaml:"dcas" doc:"The DCAs by number."`
	Groups sheet.Map[int, sheet.At[string]] `yaml:"groups" doc:"The groups by number."`
}

type inputSheet struct {
	Name    string                       `yaml:"name" sheet:"short" doc:"What the operator calls it; if left out, what the desk calls it."`
	Element desk.Element                 `yaml:"element" doc:"The part it plays in the mix."`
	Voice   bool                         `yaml:"voice" doc:"Somebody sings or speaks into it."`
	Mic     bool                         `yaml:"mic" doc:"It is played into a microphone and is no line; a voice always is."`
	Cue     bool                         `yaml:"cue" doc:"A click, guide or talkback that nobody in the room should hear."`
	DCAs    sheet.Some[sheet.At[string]] `yaml:"dcas" doc:"The DCAs that move it, by name."`
	Groups  sheet.Some[sheet.At[string]] `yaml:"groups" doc:"The groups it is summed in, by name."`
	Main    *bool                        `yaml:"main" doc:"Whether it feeds the main mix directly; if left out, only an input in no group does."`
	Gate    sheet.At[desk.DBFS]          `yaml:"gate" doc:"The level above which it is playing; if left out, limits.mix.gate."`
}

const (
	mostInputs = 512 // more than any desk; a mistyped number should not fill memory
	mostMasks  = 64  // DCAs and groups are kept as bits of one word
)

// compile makes the roster of what was written. Numbers that were left out
// between others become unnamed strips, so that an index is the desk's number
// less one.
func (s *rosterSheet) compile() (desk.Roster, sheet.Faults) {
	r := desk.Roster{Unnamed: map[desk.Mover]bool{}}
	var faults sheet.Faults
	r.DCAs = stripNames(s.DCAs, desk.StripDCA, r.Unnamed, &faults)
	r.Groups = stripNames(s.Groups, desk.StripGroup, r.Unnamed, &faults)
	taken := map[string]sheet.Place{}
	for _, e := range s.Inputs {
		if !fits(e.Key, mostInputs, e.Place, "input", &faults) {
			continue
		}
		for len(r.Inputs) < e.Key {
			r.Unnamed[desk.Mover{Strip: desk.StripInput, Index: len(r.Inputs)}] = true
			r.Inputs = append(r.Inputs, desk.Input{Name: fmt.Sprintf("input %d", len(r.Inputs)+1), Main: true})
		}
		unique(e.Value.Name, e.Place, taken, &faults)
		in := e.Value.compile(r, &faults)
		if in.Name == "" {
			in.Name = r.Inputs[e.Key-1].Name
		} else {
			delete(r.Unnamed, desk.Mover{Strip: desk.StripInput, Index: e.Key - 1})
		}
		r.Inputs[e.Key-1] = in
	}
	faults = append(faults, adviseGaps(s.Inputs, mostInputs, "input")...)
	faults = append(faults, adviseGaps(s.DCAs, mostMasks, "DCA")...)
	faults = append(faults, adviseGaps(s.Groups, mostMasks, "group")...)
	return r, faults
}

// wideGap is so many numbers without a line that the next one may be a slip.
const wideGap = 8

// adviseGaps remarks on a number that stands far from those before it, further than there
// are lines.
func adviseGaps[V any](m sheet.Map[int, V], most int, what string) (faults sheet.Faults) {
	places := map[int]sheet.Place{}
	for _, e := range m {
		if e.Key >= 1 && e.Key <= most {
			places[e.Key] = e.Place
		}
	}
	last := 0
	for _, number := range slices.Sorted(maps.Keys(places)) {
		if gap := number - last - 1; gap >= wideGap && gap >= len(places) {
			faults = append(faults, places[number].Advise(fmt.Sprintf("if %d is a slip, put it right; if not, they count as %ss without a name", number, what),
				"%ss %d to %d have no line", what, last+1, number-1))
		}
		last = number
	}
	return faults
}

func (in *inputSheet) compile(r desk.Roster, faults *sheet.Faults) desk.Input {
	out := desk.Input{
		Name: in.Name, Element: in.Element, Voice: in.Voice, Mic: in.Mic, Cue: in.Cue, Gate: in.Gate.V,
		DCAs: find(in.DCAs, r.DCAs, "DCA", faults), Groups: find(in.Groups, r.Groups, "group", faults),
	}
	out.Main = len(out.Groups) == 0 // heard twice in the main, it would count twice
	if in.Main != nil {
		out.Main = *in.Main
	}
	if in.Gate.Written() && (in.Gate.V >= 0 || in.Gate.V < -120) {
		*faults = append(*faults, in.Gate.Place.Wrong("the usual gate is -50 dBFS",
			"a gate of %v; want one between -120 dBFS and 0 dBFS", in.Gate.V))
	}
	return out
}

// stripNames are the names of DCAs or groups, in the desk's order. Those left out get
// the name that the desk's number makes.
func stripNames(m sheet.Map[int, sheet.At[string]], of desk.Strip, unnamed map[desk.Mover]bool, faults *sheet.Faults) []string {
	var out []string
	what := map[desk.Strip]string{desk.StripDCA: "DCA", desk.StripGroup: "group"}[of]
	taken := map[string]sheet.Place{}
	for _, e := range m {
		if !fits(e.Key, mostMasks, e.Place, what, faults) {
			continue
		}
		for len(out) < e.Key {
			unnamed[desk.Mover{Strip: of, Index: len(out)}] = true
			out = append(out, fmt.Sprintf("%s %d", what, len(out)+1))
		}
		unique(e.Value.V, e.Place, taken, faults)
		if e.Value.V != "" {
			delete(unnamed, desk.Mover{Strip: of, Index: e.Key - 1})
			out[e.Key-1] = e.Value.V
		}
	}
	return out
}

// fits refuses a number that no strip has, and one so high that it must be a slip.
func fits(number, most int, p sheet.Place, what string, faults *sheet.Faults) bool {
	if number >= 1 && number <= most {
		return true
	}
	*faults = append(*faults, p.Wrong("count as the desk does, from 1", "%s %d; want a number from 1 to %d", what, number, most))
	return false
}

// unique refuses a name that is given twice.
func unique(name string, p sheet.Place, taken map[string]sheet.Place, faults *sheet.Faults) {
	if name == "" {
		return
	}
	if first, ok := taken[name]; ok {
		*faults = append(*faults, p.Wrong("cards call things by these names, so each needs its own",
			"%q is also the name at line %d", name, first.Line))
		return
	}
	taken[name] = p
}

// find looks names up among those the roster gives, as indices from 0.
func find(written []sheet.At[string], among []string, what string, faults *sheet.Faults) []int {
	var out []int
	for _, w := range written {
		at := slices.Index(among, w.V)
		if at < 0 {
			*faults = append(*faults, w.Place.Wrong(hint(w.V, among, what), "no %s is called %q", what, w.V))
			continue
		}
		out = append(out, at)
	}
	return out
}

// hint says what may have been meant by a name that the roster has not.
func hint(name string, among []string, what string) string {
	if near := sheet.Nearest(name, among); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	return fmt.Sprintf("name it under roster.%ss", map[string]string{"DCA": "dca", "group": "group", "input": "input"}[what])
}
