package review

// course is a service on one clock.
type course struct{}
