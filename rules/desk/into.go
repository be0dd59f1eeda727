package desk

// Into is what a group's members put into it, by the model.
func (b *Balance) Into(group int) Power { return b.IntoAt(group, b) }

// IntoAt is what Into would be with the members' faders as they stand in o: the
// sources are b's.
func (b *Balance) IntoAt(group int, o *Balance) Power {
	var sum Power
	for i, r := range b.routes {
		if r.groups.has(group) {
			sum += b.stage[i] * Power(o.gain[i])
		}
	}
	return sum
}

// Stage is what an input's source sends, before its fader.
func (b *Balance) Stage(input int) Power { return b.stage[input] }
