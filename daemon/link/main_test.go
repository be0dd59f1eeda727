package link

import (
	"testing"

	"go.uber.org/goleak"
)

// TestMain fails the package if any goroutine outlives its test.
func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }
