package survey

import (
	"maps"
	"slices"
	"strings"
)

// fewestNames is how many names side by side begin to look like the names of
// strips, rather than like words for different things.
const fewestNames = 3

// byNames joins shapes that differ in one name: /player/harp/quiet and
// /player/horn/quiet, if most of what is said of the harp is said of the horn.
func byNames(shapes []*Shape) []*Shape {
	families := families(shapes)
	joined := map[string]*Shape{}
	var out []*Shape
	for _, sh := range shapes {
		at, ok := families[sh]
		if !ok {
			out = append(out, sh)
			continue
		}
		segments := strings.Split(sh.parts[0], "/")
		name := segments[at]
		before, after := strings.Join(segments[:at], "/")+"/", "/"+strings.Join(segments[at+1:], "/")
		key := before + "\x00" + after
		all := joined[key]
		if all == nil {
			all = &Shape{parts: []string{before, after}, vars: []variable{{named: true}}}
			joined[key] = all
			out = append(out, all)
		}
		all.vars[0].texts = append(all.vars[0].texts, name)
		for _, m := range sh.members {
			all.members = append(all.members, member{at: []string{name}, source: m.source})
		}
	}
	return out
}

// families finds, for the shapes without a number in them, the segment that is
// the name of a strip.
func families(shapes []*Shape) map[*Shape]int {
	// What stands below each name, under each stem.
	stems := map[string]map[string]map[string]bool{}
	counted := map[string]bool{} // stem/name with a number below it
	for _, sh := range shapes {
		segments := strings.Split(sh.parts[0], "/")
		for i := 1; i < min(len(segments), 12); i++ {
			stem := strings.Join(segments[:i], "/")
			if len(sh.vars) > 0 {
				counted[stem+"/"+segments[i]] = true
				continue
			}
			if i == len(segments)-1 {
				continue
			}
			if stems[stem] == nil {
				stems[stem] = map[string]map[string]bool{}
			}
			if stems[stem][segments[i]] == nil {
				stems[stem][segments[i]] = map[string]bool{}
			}
			stems[stem][segments[i]][strings.Join(segments[i+1:], "/")+sh.typed()] = true
		}
	}
	alike := map[string]bool{}
	for stem, children := range stems {
		for name := range children {
			if counted[stem+"/"+name] {
				delete(children, name)
			}
		}
		for name := range similar(children) {
			alike[stem+"/"+name] = true
		}
	}
	out := map[*Shape]int{}
	for _, sh := range shapes {
		segments := strings.Split(sh.parts[0], "/")
		for i := 1; i < min(len(segments)-1, 12) && len(sh.vars) == 0; i++ {
			if alike[strings.Join(segments[:i+1], "/")] {
				out[sh] = i
			}
		}
	}
	return out
}

// similar is the names below which stands much the same: at least half of what
// either has, both have.
func similar(children map[string]map[string]bool) map[string]bool {
	names := slices.Sorted(maps.Keys(children))
	var best map[string]bool
	for _, model := range names {
		group := map[string]bool{}
		for _, other := range names {
			both := 0
			for what := range children[other] {
				if children[model][what] {
					both++
				}
			}
			if 2*both >= len(children[model])+len(children[other])-both {
				group[other] = true
			}
		}
		if len(group) > len(best) {
			best = group
		}
		if len(names) > 256 {
			break // so many are alike or nothing is
		}
	}
	if len(best) < fewestNames {
		return nil
	}
	return best
}

// typed is the types of a shape's arguments, for comparison.
func (s *Shape) typed() string {
	if len(s.members) == 0 {
		return ""
	}
	text := " "
	for _, t := range s.members[0].slots {
		text += t.tags
	}
	return text
}
