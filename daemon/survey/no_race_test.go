//go:build !race

package survey

const raceDetector = false
