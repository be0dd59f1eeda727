//go:build race

package practicetest

// Raced is true in a program built with the race detector, in which arithmetic takes ten
// times as long.
const Raced = true
