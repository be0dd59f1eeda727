//go:build !race

package yardstick

const raceDetector = false
