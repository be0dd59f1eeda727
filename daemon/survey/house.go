package survey

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pawl/oscmap"
	"pawl/oscmap/wire"
	"pawl/rules/desk"
)

// HouseOptions say what goes into the draft of a house file besides what was heard.
type HouseOptions struct {
	House string // what the place is called
	Desk  string // host:port
	Map   string // the map's file, as the house file is to name it
	Page  string // host:port of the page, "" for this machine only
}

// Strips is who is on the desk, as far as it tells.
type Strips struct {
	Inputs []Member
	DCAs   []string
	Groups []string
}

// Member is an input: what it is called, what it is likely to be, and what it is in.
type Member struct {
	Number int      // the desk's own, from 1
	Name   string   // the desk's, or one that its number makes
	Guess  string   // as a house file writes it: "element: pad"; "" for none
	By     string   // the word in the name that the guess rests on
	DCAs   []string // by name, as the desk told
	Groups []string
}

// Strips are the strips that a map tells of, by what was heard last.
func (s *Survey) Strips(m *oscmap.Map) Strips {
	names := map[desk.Strip]map[int]string{desk.StripInput: {}, desk.StripDCA: {}, desk.StripGroup: {}}
	most := map[desk.Strip]int{}
	members := map[[3]int]bool{} // signal, input, of
	for _, r := range s.state(m) {
		most[r.Signal.Of()] = max(most[r.Signal.Of()], r.Index+1)
		switch r.Signal {
		case desk.InputName, desk.DCAName, desk.GroupName:
			names[r.Signal.Of()][r.Index] = r.Text
		case desk.InputDCA, desk.InputGroup:
			members[[3]int{int(r.Signal), r.Index, r.To}] = r.Value != 0
		}
	}
	strips := func(of desk.Strip, what string) (all []string) {
		taken := map[string]bool{}
		for i := range most[of] {
			all = append(all, distinct(names[of][i], fmt.Sprintf("%s %d", what, i+1), taken))
		}
		return all
	}
	if len(names[desk.StripInput]) == 0 && most[desk.StripInput] == 0 {
		// Strips that the desk calls by name have no number until a house file gives them one.
		if p, ok := newDrafter(s, nil).largest(); ok && p.named {
			for i, name := range p.shape.vars[p.index].texts {
				names[desk.StripInput][i], most[desk.StripInput] = name, i+1
			}
		}
	}
	out := Strips{DCAs: strips(desk.StripDCA, "DCA"), Groups: strips(desk.StripGroup, "group"), Inputs: []Member{}}
	for i, name := range strips(desk.StripInput, "input") {
		p := partOf(name)
		in := Member{Number: i + 1, Name: name, Guess: p.said(), By: p.by}
		for k, dca := range out.DCAs {
			if members[[3]int{int(desk.InputDCA), i, k}] {
				in.DCAs = append(in.DCAs, dca)
			}
		}
		for k, group := range out.Groups {
			if members[[3]int{int(desk.InputGroup), i, k}] {
				in.Groups = append(in.Groups, group)
			}
		}
		out.Inputs = append(out.Inputs, in)
	}
	return out
}

// Distinct gives inputs that are called alike names of their own, and such as have none the
// one that their number makes.
func (st *Strips) Distinct() {
	taken := map[string]bool{}
	for i := range st.Inputs {
		in := &st.Inputs[i]
		in.Name = distinct(in.Name, fmt.Sprintf("input %d", in.Number), taken)
	}
}

// distinct is a strip's name, or one that its number makes; and never one that is taken.
func distinct(name, numbered string, taken map[string]bool) string {
	name = cmp.Or(strings.TrimSpace(clean(name)), numbered)
	for n, plain := 2, name; taken[strings.ToLower(name)]; n++ {
		name = fmt.Sprintf("%s %d", plain, n)
	}
	taken[strings.ToLower(name)] = true
	return name
}

// state is what a map reads of the last that came to every address.
func (s *Survey) state(m *oscmap.Map) (all []desk.Reading) {
	h := m.NewHearer()
	var r wire.Reader
	// Twice, for a line that waits for another.
	for range 2 {
		all = all[:0]
		for _, st := range s.order {
			packet, err := wire.AppendMessage(nil, st.address, st.lastArgs()...)
			if err != nil {
				continue
			}
			for r.Reset(packet); r.Next(); {
				all = append(all, h.Hear(nil, s.last, r.Message())...)
			}
		}
	}
	return all
}

// lastArgs are the last arguments of a stream, as far as they were kept.
func (st *stream) lastArgs() (args []any) {
	if st.at == 0 {
		args = append(args, int32(st.first))
	}
	for _, t := range st.slots {
		switch {
		case t.isText():
			args = append(args, string(t.raw))
		case t.tags == "T":
			args = append(args, t.last.text == "T" || t.last.num != 0)
		case t.tags == "i":
			args = append(args, int32(t.last.num))
		case t.last.isNum:
			args = append(args, float32(t.last.num))
		default:
			args = append(args, int32(0))
		}
	}
	return args
}

// House writes a house file, of one input at least. What is guessed stands in it as
// comments for a person to confirm; confirmed are the inputs whose guess somebody has said to be right, by number, with what they are; the others' guesses are comments.
func (st Strips) House(o HouseOptions, confirmed map[int]string) string {
	var b strings.Builder
	comment(&b, "", "A draft made by pawl. Read it once: what stands behind a # is a guess by the name alone; where it is right take the line "+
		"with it instead of the one above. HOUSE.md tells what else may stand here, and pawl check says what is missing.")
	fmt.Fprintf(&b, "house: %s\n\ndesk: {address: %s, map: %s}\n\n", inYAML(cmp.Or(o.House, "Our hall")), inYAML(cmp.Or(o.Desk, "192.0.2.10:10700")), inYAML(o.Map))
	b.WriteString("roster:\n  inputs:\n")
	for _, in := range st.Inputs {
		with := func(more string) string {
			parts := []string{"name: " + inYAML(in.Name), more, list("dcas", in.DCAs), list("groups", in.Groups)}
			return fmt.Sprintf("%d: {%s}", in.Number, strings.Join(slices.DeleteFunc(parts, func(p string) bool { return p == "" }), ", "))
		}
		right, said := confirmed[in.Number]
		switch {
		case said:
			fmt.Fprintf(&b, "    %s\n", with(right))
		case in.Guess == "":
			fmt.Fprintf(&b, "    %s\n", with(""))
		default:
			fmt.Fprintf(&b, "    %s\n    # %s  # by %q?\n", with(""), with(in.Guess), in.By)
		}
	}
	writeStrips(&b, "dcas", st.DCAs)
	writeStrips(&b, "groups", st.Groups)
	fmt.Fprintf(&b, "\npage: {listen: %s}\n", inYAML(cmp.Or(o.Page, "127.0.0.1:10780")))
	return b.String()
}

func writeStrips(b *strings.Builder, what string, names []string) {
	if len(names) == 0 {
		return
	}
	var all []string
	for i, name := range names {
		all = append(all, fmt.Sprintf("%d: %s", i+1, inYAML(name)))
	}
	fmt.Fprintf(b, "  %s: {%s}\n", what, strings.Join(all, ", "))
}

func list(key string, names []string) string {
	if len(names) == 0 {
		return ""
	}
	var all []string
	for _, name := range names {
		all = append(all, inYAML(name))
	}
	return key + ": [" + strings.Join(all, ", ") + "]"
}

// inYAML is a text as YAML reads it, in quotes where it needs them.
func inYAML(text string) string {
	plain := text != "" && text == strings.TrimSpace(text) && !strings.ContainsAny(text, ":#{}[],&*!|>'\"%@`\\?-") && strings.IndexFunc(text, func(r rune) bool {
		return r < ' ' || r > '~' && !('À' <= r && r <= 'ÿ')
	}) < 0
	if _, err := strconv.ParseFloat(text, 64); err == nil {
		plain = false
	}
	if _, isSwitch := oscmap.SwitchText([]byte(text)); isSwitch || strings.EqualFold(text, "null") || text == "~" {
		plain = false
	}
	if plain {
		return text
	}
	return strconv.Quote(text)
}
