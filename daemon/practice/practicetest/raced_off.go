//go:build !race

package practicetest

// Raced is true in a program built with the race detector.
const Raced = false
