package house

import (
	"fmt"
	"strings"

	"pawl/oscmap/sheet"
	"pawl/rules"
)

// limitsSheet is a file of limits alone, written as they are in a house file.
type limitsSheet struct {
	Limits sheet.At[rules.Limits] `yaml:"limits" jsonschema:"required" doc:"When something is said, where that is to differ from the house file."`
}

// OtherLimits reads a file of limits that lie over the house's own: what the file leaves
// out is as in the house file. The limits are good unless the faults are Wrong.
func (h *House) OtherLimits(file string) (rules.Limits, sheet.Faults) {
	src, err := ReadFile(file)
	if err != nil {
		fault := unreadable(file, err)
		fault.Hint = "such a file holds a limits: block as in a house file; `pawl check --limits` lists what may stand in it"
		return rules.Limits{}, sheet.Faults{fault}
	}
	return h.LimitsOver(file, src)
}

// LimitsOver is OtherLimits for the text of such a file; its name is for messages only.
func (h *House) LimitsOver(file string, src []byte) (rules.Limits, sheet.Faults) {
	if len(src) > sheet.MaxBytes {
		return rules.Limits{}, sheet.Faults{unreadable(file, fmt.Errorf("it has %d bytes; want at most %d", len(src), sheet.MaxBytes))}
	}
	var s limitsSheet
	s.Limits.V = h.Limits
	faults := sheet.Decode(file, src, &s)
	faults = append(faults, wrongLimits(s.Limits, file, src)...)
	faults.Sort()
	return s.Limits.V, faults
}

// LimitsOf are the limits that a house file of some time ago set, as its text was kept. Of
// faults it has those of the limits alone, or all if it is no house file: what else a file of
// then holds may be of a Pawl of then.
func LimitsOf(file, text string) (rules.Limits, sheet.Faults) {
	s := defaultSheet()
	all := sheet.Decode(file, []byte(text), &s)
	if s.House == "" {
		return s.Limits.V, all
	}
	faults := wrongLimits(s.Limits, file, []byte(text))
	for _, f := range all {
		if f.Path == "limits" || strings.HasPrefix(f.Path, "limits.") {
			faults = append(faults, f)
		}
	}
	faults.Sort()
	return s.Limits.V, faults
}

// wrongLimits finds limits that make no sense, alone or beside each other, and
// points at the line of each; at the whole section for one that is not written there.
func wrongLimits(l sheet.At[rules.Limits], file string, src []byte) sheet.Faults {
	var faults sheet.Faults
	for _, wrong := range l.V.Check() {
		place, ok := sheet.Find(file, src, "limits."+wrong.Path)
		if !ok {
			place = l.Place
		}
		faults = append(faults, place.Wrong("`pawl check --limits` prints every limit with its default", "%s", wrong.Text))
	}
	return faults
}
