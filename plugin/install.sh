# SPDX-License-Identifier: ISC
# Sourced by demo.sh and tests/run.sh, which define fail().
# packages_need WHY PACKAGE...   Installs the Debian packages that are missing; root, or sudo.
packages_need() {
	why=$1
	shift
	missing=
	for package; do
		dpkg-query -W -f '${Status}\n' "$package" 2>/dev/null | grep -q 'ok installed' || missing="$missing $package"
	done
	[ -n "$missing" ] || return 0
	command -v apt-get >/dev/null || fail "install these packages $why:$missing"
	as_root=
	if [ "$(id -u)" != 0 ]; then
		command -v sudo >/dev/null || fail "as root, install these packages $why:$missing"
		as_root=sudo
	fi
	printf 'Installing %s:%s\n' "$why" "$missing"
	# shellcheck disable=SC2086
	{ $as_root apt-get update &&
		$as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y --no-install-recommends $missing; } >/dev/null 2>&1 ||
		fail "these packages could not be installed:$missing"
}
