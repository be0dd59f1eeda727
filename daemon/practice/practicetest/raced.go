package practicetest

import "testing"

// SkipRaced leaves a test to a run without the race detector: in one of arithmetic alone nothing
// runs beside anything else, so that the detector could find nothing and would take minutes. That .ci/run runs
// every one of them so is held by TestNothingIsLeftOut of cmd/pawl.
func SkipRaced(t *testing.T) {
	t.Helper()
	if Raced {
		t.Skip("long, and nothing in it runs beside anything else: without the race detector, which .ci/run does")
	}
}
