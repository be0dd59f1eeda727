//go:build race

package practicetest

// raceDetector is true in a program built with it, in which arithmetic takes ten
// times as long.
const raceDetector = true
