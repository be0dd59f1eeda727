package house

import (
	"strings"

	"pawl/oscmap"
	"pawl/oscmap/sheet"
	"pawl/rules"
	"pawl/rules/desk"
)

// partSheet is one part of the running order as it is written.
type partSheet struct {
	Name    sheet.At[string]                          `yaml:"name" jsonschema:"required" doc:"What the house calls it: the offering, second song."`
	Kind    kindWord                                  `yaml:"kind" jsonschema:"required" doc:"What sort of part it is. In a sound-check Pawl keeps quiet."`
	Primary sheet.At[string]                          `yaml:"primary" doc:"The instrument that carries it, by its name in the roster."`
	Plays   sheet.Map[string, sheet.At[desk.Element]] `yaml:"plays" doc:"Inputs that play another element here than elsewhere, by name."`
	Scene   sheet.At[int]                             `yaml:"scene" doc:"The number of the scene that the desk recalls for it."`
}

// kindWord is a kind of segment as it is written.
type kindWord desk.SegmentKind

// Words are the kinds that can be written.
func (kindWord) Words() []string {
	var words []string
	for _, k := range desk.SegmentKinds {
		words = append(words, string(k))
	}
	return words
}

// mostParts is more than any service has.
const mostParts = 200

// compileOrder makes the running order of what was written, for a roster.
func (s *houseSheet) compileOrder(r desk.Roster) (desk.Order, sheet.Faults) {
	var faults sheet.Faults
	var order desk.Order
	names, scenes := map[string]sheet.Place{}, map[int]sheet.Place{}
	for i := range s.Order {
		p := &s.Order[i]
		if i == mostParts {
			faults = append(faults, p.Name.Place.Wrong("", "more than %d parts; want fewer", mostParts))
			break
		}
		p.checkName(names, &faults)
		p.checkScene(scenes, &faults)
		order = append(order, p.compile(r, &faults))
	}
	return order, faults
}

func (p *partSheet) compile(r desk.Roster, faults *sheet.Faults) desk.Planned {
	out := desk.Planned{Name: strings.TrimSpace(p.Name.V), Kind: desk.SegmentKind(p.Kind)}
	if p.Scene.Written() {
		out.Scene = &p.Scene.V
	}
	if p.Primary.Written() {
		if i, ok := instrument(p.Primary.V, p.Primary.Place, r, faults); ok {
			out.Primary = &i
		}
	}
	for _, e := range p.Plays {
		i, ok := instrument(e.Key, e.Place, r, faults)
		if !ok {
			continue
		}
		if out.Elements == nil {
			out.Elements = map[int]desk.Element{}
		}
		out.Elements[i] = e.Value.V
	}
	return out
}

// checkName refuses a name that a press could not ask for.
func (p *partSheet) checkName(taken map[string]sheet.Place, faults *sheet.Faults) {
	if !p.Name.Written() {
		return
	}
	name := strings.TrimSpace(p.Name.V)
	if err := (rules.Press{Do: rules.NewSegment, Text: name}).Check(); err != nil || name == "" {
		*faults = append(*faults, p.Name.Place.Wrong("write a few words, such as \"second song\"", "%q is no name for a part", p.Name.V))
		return
	}
	key := strings.ToLower(name)
	if first, ok := taken[key]; ok {
		*faults = append(*faults, p.Name.Place.Wrong("a part is begun by its name, so each needs its own",
			"%q is also the part at line %d", name, first.Line))
		return
	}
	taken[key] = p.Name.Place
}

func (p *partSheet) checkScene(taken map[int]sheet.Place, faults *sheet.Faults) {
	if !p.Scene.Written() {
		return
	}
	if first, ok := taken[p.Scene.V]; ok {
		*faults = append(*faults, p.Scene.Place.Wrong("which of the two would begin? Leave it out of one, and begin that with a tap",
			"scene %d is also that of the part at line %d", p.Scene.V, first.Line))
		return
	}
	taken[p.Scene.V] = p.Scene.Place
}

// instrument looks up an input by its name, and refuses one that nobody hears.
func instrument(name string, p sheet.Place, r desk.Roster, faults *sheet.Faults) (int, bool) {
	names := make([]string, len(r.Inputs))
	for i, in := range r.Inputs {
		if in.Name == name && in.Cue {
			*faults = append(*faults, p.Wrong("a cue plays no element of the mix", "%s is a cue, which nobody in the room hears", name))
			return 0, false
		}
		if in.Name == name {
			return i, true
		}
		names[i] = in.Name
	}
	*faults = append(*faults, p.Wrong(hint(name, names, "input"), "no input is called %q", name))
	return 0, false
}

// adviseScenes tells of scenes in the order that the map will never hear of.
func (s *houseSheet) adviseScenes(m *oscmap.Map) sheet.Faults {
	if m == nil || m.HearsSignal(desk.SceneNumber) {
		return nil
	}
	for _, p := range s.Order {
		if p.Scene.Written() {
			return sheet.Faults{p.Scene.Place.Advise("a map that hears scene.number lets a part begin with its scene; a tap does so without",
				"the map hears no scene.number, so no part will begin by its scene")}
		}
	}
	return nil
}
