//go:build !race

package practicetest

const raceDetector = false
