package practice

import "testing"

// TestWeeks wants eight services of 20 to 60 minutes, no two the same pieces in the same
// order, and each piece to end as it began, so that any may follow any other.
func TestWeeks(t *testing.T) {
	all := Weeks()
	if len(all) != 8 {
		t.Errorf("%d weeks, want 8", len(all))
	}
	seen := map[string]bool{}
	for _, w := range all {
		order := ""
		for _, p := range w.Parts {
			order += " " + p.Piece
			if !Piece(p.Piece).Loops {
				t.Errorf("piece %s does not say that it ends as it began", p.Piece)
			}
		}
		if m := w.Script.Length.Minutes(); m < 20 || m > 60 || seen[order] || w.Mixing == "" {
			t.Errorf("%s: %v min, mixed by %q, of%s", w.Script.Name, m, w.Mixing, order)
		}
		seen[order] = true
	}
}
