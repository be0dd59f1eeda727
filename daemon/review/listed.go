package review

// Listed is the reported service for a list: as List gives it, of what was worked out
// already.
func (r *Report) Listed() Listed {
	return Listed{Heading: r.Heading, Figures: r.Figures, habits: r.course.habits(r)}
}
