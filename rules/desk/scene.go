package desk

// scene is what the desk says is recalled.
type scene struct {
	numbered bool
	number   float64
	name     string
}

// take reports whether the desk speaks of another scene than before. The first
// number heard counts as a recall: a desk that was not asked for it speaks of none
// until it makes one, and at the start of a service a recall too many harms nothing.
// A name is often sent beside the number, and then is no second recall.
func (s *scene) take(r *Reading) bool {
	was := *s
	if r.Signal == SceneNumber {
		s.numbered, s.number = true, r.Value
		return *s != was
	}
	s.name = r.Text
	return *s != was && !s.numbered
}
