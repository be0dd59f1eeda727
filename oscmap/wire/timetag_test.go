package wire

import (
	"testing"
	"time"
)

// TestTimeRound passes instants through a time tag, which is finer than a
// nanosecond, on either side of 2036-02-07 06:28:16 when its seconds wrap
// round (RFC 5905 calls it era 1).
func TestTimeRound(t *testing.T) {
	for _, want := range []time.Time{
		time.Date(1999, 12, 31, 23, 59, 59, 999_999_999, time.UTC),
		time.Date(2026, 11, 25, 9, 30, 0, 1, time.UTC),
		time.Date(2036, 2, 7, 6, 28, 15, 999_999_999, time.UTC),
		time.Date(2036, 2, 7, 6, 28, 16, 0, time.UTC),
		time.Date(2060, 1, 1, 0, 0, 0, 123_456_789, time.UTC),
	} {
		if got := TimeTagOf(want).Time(); !got.Equal(want) {
			t.Errorf("got %v, want %v", got, want)
		}
	}
	if got := TimeTagOf(time.Date(2036, 2, 7, 6, 28, 16, 0, time.UTC)); got>>32 != 0 {
		t.Errorf("era 1 begins with %x, want 0", got>>32)
	}
}
