//go:build !carried

package page

//go:generate go run ./carry

func carried() (Engine, bool) { return Engine{}, false }
