// Package rules is what Pawl knows about mixing.
//
// It keeps the mix as the desk last described it, finds the moves in a stream
// of fader positions, works out who made the total louder, and judges when
// something is worth saying and whether now is the time to say it.
//
// It is arithmetic only. Time arrives inside each Reading, findings leave as
// return values, and nothing here opens, logs, sleeps or starts a goroutine.
// The same readings therefore always give the same findings, which is what lets
// a captured service be judged again a week later, and lets it serve as a test.
package rules
