package survey

import (
	"maps"
	"slices"
	"strings"

	"pawl/rules"
	"pawl/rules/words"
)

// A Guide says what it says as phrases of the catalogues, as the rules do: a terminal has them
// in English, a page in its reader's language. What stands within one, such as a strip or the
// name of a value, is a phrase too: its name is a text of the whole, which takes what it takes.
// The reasons in a draft are comments of a file, and English for everybody.

// with adds something to a phrase.
type with func(rules.Phrase) rules.Phrase

// put is a phrase with all that it takes besides its figures.
func put(p rules.Phrase, all ...with) rules.Phrase {
	for _, add := range all {
		p = add(p)
	}
	return p
}

// within puts one phrase into another.
func within(as string, in rules.Phrase) with {
	return func(p rules.Phrase) rules.Phrase {
		p = p.Quoting(as, in.ID)
		p.Figures = append(slices.Clip(p.Figures), in.Figures...)
		maps.Copy(p.Texts, in.Texts)
		return p
	}
}

// asTyped is what somebody typed, with the minus of all other numbers.
func asTyped(word string) with {
	word = clean(word)
	if number, below := strings.CutPrefix(word, "-"); below {
		word = "−" + number
	}
	return func(p rules.Phrase) rules.Phrase { return p.Quoting("word", word) }
}

// bare is a figure that has no unit: one of the desk's own, or one that is printed on it.
func bare(name string, v float64) rules.Figure { return rules.Figure{Name: name, Value: v} }

// What the hand does to go on, to say that there is none, to give a mark, and to go back.
var (
	byDone   = within("done", rules.Say("press.done"))
	byNone   = within("none", rules.Say("press.none"))
	byNumber = within("number", rules.Say("press.number"))
	byBack   = within("back", rules.Say("press.back"))
)

// onPage is the same on a page, which has something to press for most of it.
var onPage = map[string]rules.Phrase{
	"press.done": rules.Say("press.done-page"), "press.none": rules.Say("press.none-page"),
	"press.number": rules.Say("press.number-page"), "press.back": rules.Say("press.back-page"),
}

// OnPage is what a Guide said, for somebody who answers on a page and not at a terminal.
func OnPage(said []rules.Phrase) []rules.Phrase {
	out := slices.Clone(said)
	for i, p := range said {
		for as, text := range p.Texts {
			if there, ok := onPage[text]; ok {
				out[i] = out[i].Quoting(as, there.ID)
			}
		}
	}
	return out
}

// inEnglish is what was said as a terminal and a file have it, whose minus is the one that
// people type.
func inEnglish(said ...rules.Phrase) string {
	var all []string
	english := words.Own().For(words.Default)
	for _, p := range said {
		all = append(all, strings.ReplaceAll(english.Say(p), "−", "-"))
	}
	return strings.Join(all, " ")
}

// inLines is what was said as a terminal has it, a line a phrase; but what the scale is worth stands
// behind what it is, and what moved besides is indented.
func inLines(said []rules.Phrase) (all []string) {
	for _, p := range said {
		text := inEnglish(p)
		switch p.ID {
		case "guide.scale-few", "guide.scale-unsure", "guide.scale-sure":
			all[len(all)-1] += " " + text
		case "guide.also", "guide.also-more":
			all = append(all, "  "+text)
		default:
			all = append(all, text)
		}
	}
	return all
}

// named is the first strip of a kind, the one that is asked about.
func (s strip) named() with {
	return within("strip", [...]rules.Phrase{rules.Say("strip.first-input"), rules.Say("strip.first-dca"), rules.Say("strip.first-group"), rules.Say("strip.main")}[s])
}

// numbered is a strip of a kind.
func (s strip) numbered(as string, n int) with {
	f := rules.Number("n", n)
	return within(as, [...]rules.Phrase{rules.Say("strip.input", f), rules.Say("strip.dca", f), rules.Say("strip.group", f), rules.Say("strip.main-n", f)}[s])
}

// phrase is how a slot is called in front of people.
func (t *slot) phrase() rules.Phrase {
	arg, at := rules.Number("argument", t.arg), rules.Number("byte", t.at)
	p := rules.Say("slot.plain")
	switch several := len(t.stream.slots) > 1; {
	case several && t.isCell():
		p = rules.Say("slot.argument-byte", arg, at)
	case t.isCell():
		p = rules.Say("slot.byte", at)
	case several:
		p = rules.Say("slot.argument", arg)
	}
	if p = p.Quoting("address", t.address()); t.isCell() {
		p = p.Quoting("layout", t.layout.String())
	}
	return p
}

// named is a slot in a phrase.
func (t *slot) named() with { return within("what", t.phrase()) }

// as is a value in a phrase.
func (v value) as(name string) with {
	return func(p rules.Phrase) rules.Phrase {
		switch {
		case v.text == "" && v.isNum:
			p.Figures = append(slices.Clip(p.Figures), bare(name, v.rounded()))
			return p
		case v.text == "":
			return within(name, rules.Say("slot.nothing"))(p)
		}
		return p.Quoting(name, v.plain())
	}
}
