package words

import "pawl/rules"

// LineChecked gives a line check's entry with its words. e itself is not changed.
func (s *Speaker) LineChecked(e *rules.LineChecked) *rules.LineChecked {
	if e == nil {
		return nil
	}
	said := *e
	said.Words = make([]string, 0, len(e.What))
	for _, p := range e.What {
		said.Words = append(said.Words, s.Say(p))
	}
	said.Inputs, said.Desk = s.LineInputs(e.Inputs), s.LineRemarks(e.Desk)
	return &said
}

// LineInputs gives inputs of a line check with the words of their remarks.
func (s *Speaker) LineInputs(of []rules.LineInput) []rules.LineInput {
	out := make([]rules.LineInput, 0, len(of))
	for _, in := range of {
		in.Who, in.Remarks = s.Label(in.Who), s.LineRemarks(in.Remarks)
		dcas := list(in.DCAs)[:0:0]
		for _, d := range in.DCAs {
			dcas = append(dcas, s.Label(d))
		}
		in.DCAs = list(dcas)
		out = append(out, in)
	}
	return out
}

// LineRemarks gives remarks with their words.
func (s *Speaker) LineRemarks(of []rules.LineRemark) []rules.LineRemark {
	out := make([]rules.LineRemark, 0, len(of))
	for _, r := range of {
		r.Words = &rules.LineWords{Says: s.Say(r.Says), Try: s.Say(r.Try)}
		out = append(out, r)
	}
	return out
}

// LineSummary is what a line check that ended found, a line each: the summary in
// sentences, then each remark with what to do. It is for a terminal and for the report of
// a service; of one that only began it is the line that says so.
func (s *Speaker) LineSummary(e *rules.LineChecked) []string {
	var out []string
	for _, p := range e.What {
		out = append(out, s.Say(p))
	}
	for _, in := range e.Inputs {
		for _, r := range in.Remarks {
			says := s.Say(rules.Say("line.of").Quoting("says", s.Say(r.Says)).Naming("who", in.Who))
			out = append(out, says+" "+s.Say(r.Try))
		}
	}
	for _, r := range e.Desk {
		out = append(out, s.Say(r.Says)+" "+s.Say(r.Try))
	}
	return out
}
