// Package screen is what every screen of the desk stands on: the program behind the
// window, the heading and widgets that pages share, the routes from one screen to
// another, and what several of them draw or say alike. It knows no screen.
package screen
