package desk

// squeezeMeter is a compressor's gain reduction, in dB counted upwards, over the
// beats in which something played into it.
type squeezeMeter struct {
	heard     bool
	reduction DB
	spread    spread // made when the first beat counts
}

func (s *squeezeMeter) hear(reduction DB) { s.heard, s.reduction = true, reduction }

func (s *squeezeMeter) fold(active bool) {
	if !s.heard || !active {
		return
	}
	if s.spread.ring == nil {
		s.spread = newSpread(0, 100, Passage, Minute, LongestMean)
	}
	s.spread.add(float64(s.reduction))
}

// Squeeze is how hard a compressor is working. Until a reading was heard while
// something played it is not known, and then its figures mean nothing.
type Squeeze struct {
	Active bool // something that feeds it is playing and open
	Known  bool // a reading was heard while it played

	Median    DB // over the last 20 s of playing
	Low, High DB // over the last minute of playing: 10th and 90th percentile
}

func (s *squeezeMeter) squeeze(active bool) Squeeze {
	out := Squeeze{Active: active, Known: s.spread.ring != nil}
	if out.Known {
		out.Median, out.Low, out.High = s.quantile(0.5), s.low(), s.high()
	}
	return out
}

func (s *squeezeMeter) quantile(q float64) DB {
	v, _ := s.spread.quantile(Passage, q)
	return DB(v)
}

func (s *squeezeMeter) low() DB {
	v, _ := s.spread.quantile(Minute, 0.1)
	return DB(v)
}

func (s *squeezeMeter) high() DB {
	v, _ := s.spread.quantile(Minute, 0.9)
	return DB(v)
}
