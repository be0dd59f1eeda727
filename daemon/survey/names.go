package survey

import (
	"iter"
	"strings"
)

const (
	fewestNames = 3  // side by side, that look like the names of strips rather than like words for different things
	deepest     = 12 // segment of an address that may be a name
)

// byNames joins shapes that differ in one name: /player/harp/quiet and
// /player/horn/quiet, if most of what is said of the harp is said of the horn.
func byNames(shapes []*shape) []*shape {
	naming := namingSegments(shapes)
	joined := map[string]*shape{}
	var out []*shape
	for _, sh := range shapes {
		i, ok := naming[sh]
		if !ok {
			out = append(out, sh)
			continue
		}
		segments := strings.Split(sh.parts[0], "/")
		name := segments[i]
		segments[i] = "*"
		key := strings.Join(segments, "/")
		all := joined[key]
		if all == nil {
			before, after := strings.Join(segments[:i], "/")+"/", "/"+strings.Join(segments[i+1:], "/")
			all = &shape{parts: []string{before, after}, vars: []variable{{named: true}}, indexAt: -1, wordAt: -1}
			joined[key] = all
			out = append(out, all)
		}
		all.vars[0].texts = append(all.vars[0].texts, name)
		for _, m := range sh.members {
			all.members = append(all.members, member{at: []string{name}, stream: m.stream})
		}
	}
	return out
}

// set is a set of texts.
type set map[string]bool

// namingSegments finds, for the shapes without a number in them, the segment that
// is the name of a strip: at least half of what stands below it stands below as many
// others too.
func namingSegments(shapes []*shape) map[*shape]int {
	names := map[string]set{}   // in place of a star, by the whole with the star
	below := map[string]*stem{} // by a name and what stands before it
	for _, sh := range shapes {
		for i, segments := range sh.segments() {
			prefix := strings.Join(segments[:i+1], "/")
			if below[prefix] == nil {
				below[prefix] = &stem{}
			}
			if len(sh.vars) > 0 || sh.wordAt >= 0 {
				below[prefix].counted = true
				continue
			}
			whole := starred(segments, i) + sh.typed()
			below[prefix].starred = append(below[prefix].starred, whole)
			if names[whole] == nil {
				names[whole] = set{}
			}
			names[whole][segments[i]] = true
		}
	}
	// Once a name, and not once a shape: a flood of made-up addresses puts thousands
	// of shapes below one of them.
	for _, s := range below {
		shared := 0
		for _, starred := range s.starred {
			if len(names[starred]) >= fewestNames {
				shared++
			}
		}
		// Half: strips differ, and not every one has been touched yet.
		s.names = 2*shared >= len(s.starred) && !s.counted
	}
	out := map[*shape]int{}
	for _, sh := range shapes {
		for i, segments := range sh.segments() {
			if below[strings.Join(segments[:i+1], "/")].names {
				out[sh] = i
			}
		}
	}
	return out
}

// stem is what was heard below something that may be the name of a strip.
type stem struct {
	starred []string // addresses with a star for the name, and their types
	counted bool     // strips are counted there, and not named
	names   bool     // it is a name
}

func starred(segments []string, i int) string {
	return strings.Join(segments[:i], "/") + "/*/" + strings.Join(segments[i+1:], "/")
}

// segments are those of an address that may be a name, each with the whole: there is
// something before it and something below it.
func (s *shape) segments() iter.Seq2[int, []string] {
	return func(yield func(int, []string) bool) {
		segments := strings.Split(s.parts[0], "/")
		for i := 1; i < min(len(segments)-1, deepest) && yield(i, segments); i++ {
		}
	}
}

// typed is the types of a shape's arguments, for comparison.
func (s *shape) typed() string {
	text := " "
	for _, t := range s.members[0].slots {
		text += t.tags
	}
	return text
}
