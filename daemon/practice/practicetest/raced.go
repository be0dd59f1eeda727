package practicetest

import "testing"

// SkipRaced leaves a test to a run without the race detector, which makes arithmetic ten times as slow:
// one in which nothing runs beside anything else, so that there is nothing to detect, or a long one of what
// shorter tests have run with it. That .ci/run runs each of them without it is held by
// TestNothingIsLeftOut of cmd/pawl.
func SkipRaced(t *testing.T) {
	t.Helper()
	if Raced {
		t.Skip("long, and the race detector has nothing to find in it: without it, which .ci/run does")
	}
}
