package oscmap

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"pawl/oscmap/sheet"
	"pawl/oscmap/wire"
	"pawl/rules/desk"
)

// argPart is an argument of an ask: with its OSC type as in {int: 60}, or bare as
// 60, 0.5, text or true, where the type is plain.
type argPart struct {
	sheet.Place
	typed typedArg
}

// typedArg holds exactly one of its fields. {input} in a text or a whole
// number is the index of the ask.
type typedArg struct {
	Int     sheet.At[template]          `yaml:"int" doc:"32 bits."`
	Long    sheet.At[template]          `yaml:"long" doc:"64 bits."`
	Float   sheet.At[float64]           `yaml:"float" doc:"32 bits."`
	Double  sheet.At[float64]           `yaml:"double" doc:"64 bits."`
	String  sheet.At[template]          `yaml:"string"`
	Symbol  sheet.At[template]          `yaml:"symbol"`
	Char    sheet.At[string]            `yaml:"char" doc:"One character."`
	Bool    sheet.At[bool]              `yaml:"bool" doc:"The tags T and F."`
	Nil     sheet.At[bool]              `yaml:"nil" doc:"The tag N; write true."`
	Impulse sheet.At[bool]              `yaml:"impulse" doc:"The tag I; write true."`
	Blob    sheet.At[sheet.Some[uint8]] `yaml:"blob" doc:"Bytes, 0 to 255."`
	Time    sheet.At[int]               `yaml:"time" jsonschema:"minimum=0" doc:"A time tag; 1 is immediately."`
	Colour  sheet.At[[]uint8]           `yaml:"colour" doc:"Red, green, blue, alpha."`
	MIDI    sheet.At[[]uint8]           `yaml:"midi" doc:"Port, status and two data bytes."`
	List    sheet.At[[]argPart]         `yaml:"list" doc:"An array of arguments."`
}

// FromSheet reads an argument in a file.
func (a *argPart) FromSheet(n *sheet.Node) {
	a.Place = n.Place()
	switch {
	case n.IsMapping():
		if n.Decode(&a.typed) && len(n.Keys()) != 1 {
			n.Wrong("as in {int: 60}", "an argument with %d types; want one", len(n.Keys()))
		}
	case n.IsList():
		n.Wrong("for an array of OSC write {list: [1, 2]}", "found a list; want an argument")
	case n.IsText():
		n.Decode(&a.typed.String)
	case n.Text() == "true" || n.Text() == "false":
		n.Decode(&a.typed.Bool)
	case strings.ContainsAny(n.Text(), ".eE"):
		n.Decode(&a.typed.Float)
	default:
		n.Decode(&a.typed.Int)
	}
}

// Forms says how an argument is written.
func (argPart) Forms() []any {
	return []any{typedArg{}, 0.0, sheet.Pattern(""), sheet.Constants{true, false}}
}

// indices are the parts of the argument that stand for an index.
func (a *argPart) indices() (parts []*part) {
	for _, t := range []*sheet.At[template]{&a.typed.Int, &a.typed.Long, &a.typed.String, &a.typed.Symbol} {
		parts = append(parts, t.V.indices()...)
	}
	for i := range a.typed.List.V {
		parts = append(parts, a.typed.List.V[i].indices()...)
	}
	return parts
}

// value is the argument for the indices given.
func (a *argPart) value(at map[desk.Strip]string) (any, error) {
	t := &a.typed
	switch {
	case t.Int.Written():
		n, err := whole(t.Int.V.filled(at), 32)
		return int32(n), err
	case t.Long.Written():
		return whole(t.Long.V.filled(at), 64)
	case t.Float.Written():
		if math.Abs(t.Float.V) > math.MaxFloat32 {
			return nil, fmt.Errorf("%v does not fit a float of 32 bits; write {double: …}", t.Float.V)
		}
		return float32(t.Float.V), nil
	case t.Double.Written():
		return t.Double.V, nil
	case t.String.Written():
		return t.String.V.filled(at), nil
	case t.Symbol.Written():
		return wire.Symbol(t.Symbol.V.filled(at)), nil
	case t.Bool.Written():
		return t.Bool.V, nil
	case t.Blob.Written():
		return []byte(t.Blob.V), nil
	case t.Time.Written():
		return wire.TimeTag(t.Time.V), nil
	}
	return t.rare(at)
}

// rare makes the types that hardly any desk wants.
func (t *typedArg) rare(at map[desk.Strip]string) (any, error) {
	switch {
	case t.Char.Written():
		r := []rune(t.Char.V)
		if len(r) != 1 {
			return nil, fmt.Errorf("%q is not one character", t.Char.V)
		}
		return wire.Char(r[0]), nil
	case t.Nil.Written() && t.Nil.V:
		return nil, nil
	case t.Impulse.Written() && t.Impulse.V:
		return wire.Impulse{}, nil
	case t.Colour.Written():
		c := t.Colour.V
		if len(c) != 4 {
			return nil, fmt.Errorf("a colour of %d numbers; want red, green, blue and alpha", len(c))
		}
		return wire.RGBA(uint32(c[0])<<24 | uint32(c[1])<<16 | uint32(c[2])<<8 | uint32(c[3])), nil
	case t.MIDI.Written():
		if len(t.MIDI.V) != 4 {
			return nil, fmt.Errorf("MIDI of %d numbers; want port, status and two data bytes", len(t.MIDI.V))
		}
		return wire.MIDI(t.MIDI.V), nil
	case t.List.Written():
		list := make([]any, len(t.List.V))
		for i := range t.List.V {
			v, err := t.List.V[i].value(at)
			if err != nil {
				return nil, err
			}
			list[i] = v
		}
		return list, nil
	}
	return nil, fmt.Errorf("nil and impulse have no value; write true after them")
}

func whole(text string, bits int) (int64, error) {
	n, err := strconv.ParseInt(text, 10, bits)
	if err != nil {
		return 0, fmt.Errorf("%q is no whole number of %d bits", text, bits)
	}
	return n, nil
}

// template is text in which {input}, {dca} and {group} are indices.
type template struct{ path }

// FromSheet reads a template in a file. A brace that is no index stands for itself.
func (p *template) FromSheet(n *sheet.Node) {
	if n.IsList() || n.IsMapping() {
		n.Wrong("", "found %s; want text or a number", n.Found())
		return
	}
	for rest := n.Text(); rest != ""; {
		before, after, braced := strings.Cut(rest, "{")
		p.literal(before)
		if !braced {
			return
		}
		inside, tail, closed := strings.Cut(after, "}")
		if pt, fault, _ := parsePlaceholder(inside); closed && fault == "" && pt.kind == indexPart {
			p.parts, rest = append(p.parts, pt), tail
			continue
		}
		p.literal("{")
		rest = after
	}
}

// Forms says how a template is written.
func (template) Forms() []any { return []any{""} }
