package desk

import "time"

// own is an input's own compressor by its settings.
type own struct {
	curve  Curve
	told   bool // threshold and ratio are
	makeUp lastWord
}

// ownOf is the compressor of an input as it was last told.
func (m *Mix) ownOf(i int) (o own) {
	o.curve, o.told = m.inputSettings(i)
	o.makeUp = m.latest.of(InputCompMakeUp, i)
	return o
}

// inputSetting takes one of an input compressor's settings. Its meter lies behind the
// compressor, so what it showed before says nothing of what the same player sends now.
func (m *Mix) inputSetting(at time.Duration, r *Reading) {
	if r.Index < 0 || r.Index >= len(m.inputs) {
		return
	}
	was := m.ownOf(r.Index)
	m.latest.take(at, r)
	is := m.ownOf(r.Index)
	m.inputs[r.Index].reset(&was, &is)
}

// reset makes of what the meter showed through the old settings what it would have shown
// through the new ones. They may have been in force for a while before they were told:
// for the last beats, as many as they explain better than the old ones.
func (in *inputMeter) reset(was, is *own) {
	lift := DB(0)
	if was.makeUp.heard && is.makeUp.heard {
		lift = DB(is.makeUp.value - was.makeUp.value)
	}
	// Without a meter of it nobody knows how far the compressor follows its curve.
	curved := was.told && is.told && was.curve != is.curve && in.squeeze.heard
	if lift == 0 && !curved {
		return
	}
	again := func(p Power, taken DB) (Power, DB) {
		if p <= 0 {
			return p, taken
		}
		turned := taken
		if curved {
			level := p.Level() + DBFS(taken-DB(was.makeUp.value))
			turned = max(taken+is.curve.Reduction(level)-was.curve.Reduction(level), 0)
		}
		return p * Power((lift + taken - turned).Ratio()), turned
	}
	for n := in.settledSince(was, is, curved); n < in.full; n++ {
		k := in.ago(n)
		p, taken := again(in.slots[k], in.taken[k])
		in.put(k, p)
		in.taken[k] = taken
	}
	in.last, _ = again(in.last, in.squeeze.reduction)
	in.sum, _ = again(in.sum, in.squeeze.reduction)
}

// settledSince is how many of the last beats the new curve explains better.
func (in *inputMeter) settledSince(was, is *own, curved bool) (since int) {
	if !curved {
		return 0
	}
	var gain, best DB
	for n := range in.full {
		if p := in.beat(n); p > 0 {
			taken := in.taken[in.ago(n)]
			level := p.Level() + DBFS(taken-DB(was.makeUp.value))
			gain += (taken - was.curve.Reduction(level)).Abs() - (taken - is.curve.Reduction(level)).Abs()
		}
		if gain > best {
			best, since = gain, n+1
		}
	}
	return since
}
