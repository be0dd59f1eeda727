//go:build !race

package rules

const raceDetector = false
