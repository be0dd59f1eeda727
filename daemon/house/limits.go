package house

import "pawl/oscmap/sheet"

// checkLimits finds limits that make no sense, alone or beside each other, and
// points at the line of each; at the whole section for one that is not written there.
func (s *houseSheet) checkLimits(file string, src []byte) sheet.Faults {
	var faults sheet.Faults
	for _, wrong := range s.Limits.V.Check() {
		place, ok := sheet.Find(file, src, "limits."+wrong.Path)
		if !ok {
			place = s.Limits.Place
		}
		faults = append(faults, place.Wrong("`pawl check --limits` prints every limit with its default", "%s", wrong.Text))
	}
	return faults
}
