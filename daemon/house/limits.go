package house

import (
	"pawl/oscmap/sheet"
	"pawl/rules"
)

// checkLimits finds limits that make no sense, alone or beside each other.
func (s *houseSheet) checkLimits() sheet.Faults {
	r, m, c := s.Limits.V.Ratchet, s.Limits.V.Mix, s.Limits.V.Calm
	var faults sheet.Faults
	for _, l := range []struct {
		wrong    bool
		of, text string
	}{
		{r.Whisper <= 0 || r.Nudge <= 0 || r.ReRaise <= 0, "ratchet", "a rise of nothing or less; want whisper, nudge and re-raise above 0 dB"},
		{r.Nudge < r.Whisper, "ratchet", "nudge is below whisper; want the heavier word for the greater rise"},
		{r.Eased > r.Whisper, "ratchet", "eased is above whisper; want it to open before it can ease"},
		{r.Movers < 1, "ratchet", "movers is below 1; want the number of faders that make a ratchet"},
		{r.Quiet <= 0 || r.Accepted <= 0, "ratchet", "a time of nothing; want quiet and accepted above 0s"},
		{m.Gate > 0, "mix", "a gate above 0 dBFS; nothing would ever play"},
		{m.JudgeOver <= 0 || m.JudgeOver > rules.LongestMean, "mix", "judge-over is outside 0s to 10s"},
		{m.ShowOver <= 0 || m.ShowOver > rules.LongestMean, "mix", "show-over is outside 0s to 10s"},
		{c.Every <= 0 || c.Most < 1, "calm", "a budget of nothing; want every above 0s and most of at least 1"},
		{s.Limits.V.Moves.Still <= 0, "moves", "still is 0s or less; a move would never come to rest"},
	} {
		if l.wrong {
			faults = append(faults, s.Limits.Place.Wrong(
				"rules/limits.go lists every limit with its default; README.md shows how to write them", "%s: %s", l.of, l.text))
		}
	}
	return faults
}
