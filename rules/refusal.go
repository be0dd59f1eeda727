package rules

// Refusal is why something that somebody asked for was not done, as a phrase: whoever asked
// reads it in their own language. Two with the same phrase are the same refusal, whatever
// else they say.
type Refusal struct{ Says Phrase }

// Refuse is the refusal that says this phrase.
func Refuse(id string, figures ...Figure) *Refusal { return &Refusal{Say(id, figures...)} }

// Because adds what a machine said about it, as it is.
func (r *Refusal) Because(why string) *Refusal { return &Refusal{r.Says.Quoting("why", why)} }

// Error is the phrase's name: words are made where somebody reads.
func (r *Refusal) Error() string { return r.Says.ID }

// Is reports whether target is the same refusal.
func (r *Refusal) Is(target error) bool {
	t, ok := target.(*Refusal)
	return ok && t.Says.ID == r.Says.ID
}
