//! Where a request comes from: the address that attempts to sign in are counted by, and whether a stranger asks.

use std::net::{IpAddr, Ipv6Addr, SocketAddr};

use axum::extract::{ConnectInfo, FromRequestParts};
use axum::http::request::Parts;
use axum::http::{HeaderMap, header};

use crate::error::ServerError;
use crate::state::AppState;

/// Headers by which proxies tell that they stand in between.
const OF_PROXIES: [&str; 5] = [
    "forwarded",
    "via",
    "x-forwarded-for",
    "x-forwarded-host",
    "x-real-ip",
];

/// The network a request comes from: an address, or the /64 that one subscriber has of IPv6. Empty where the server was
/// started without telling; nothing where a proxy on this machine stands in between and no setting names its header: then
/// all the world has one address.
pub struct Caller(pub Option<String>);

impl FromRequestParts<AppState> for Caller {
    type Rejection = ServerError;

    async fn from_request_parts(parts: &mut Parts, state: &AppState) -> Result<Self, ServerError> {
        let peer = parts.extensions.get::<ConnectInfo<SocketAddr>>();
        let Some(peer) = peer.map(|ConnectInfo(peer)| peer.ip()) else {
            return Ok(Self(Some(String::new())));
        };
        let near = peer.to_canonical().is_loopback();
        if near && state.address_header.is_none() && behind_a_proxy(&parts.headers) {
            return Ok(Self(None));
        }
        // Only a proxy on this machine is believed, and only where the settings name its header.
        let told = state
            .address_header
            .as_ref()
            .filter(|_| near)
            .and_then(|name| told(parts.headers.get(name)?.to_str().ok()?));
        Ok(Self(Some(network(told.unwrap_or(peer)))))
    }
}

/// The address in a header's last part: what stands before it was there when the nearest proxy got it.
fn told(text: &str) -> Option<IpAddr> {
    text.rsplit(',').next()?.trim().parse().ok()
}

fn network(address: IpAddr) -> String {
    match address.to_canonical() {
        IpAddr::V4(address) => address.to_string(),
        IpAddr::V6(address) => {
            let [a, b, c, d, ..] = address.segments();
            Ipv6Addr::new(a, b, c, d, 0, 0, 0, 0).to_string()
        }
    }
}

/// Whether a request was made to this machine by its own name, with no proxy in between that tells of itself.
pub fn is_at_home(headers: &HeaderMap) -> bool {
    let host = headers
        .get(header::HOST)
        .and_then(|host| host.to_str().ok())
        .is_some_and(names_this_machine);
    host && !behind_a_proxy(headers)
}

fn behind_a_proxy(headers: &HeaderMap) -> bool {
    OF_PROXIES.iter().any(|name| headers.contains_key(*name))
}

fn names_this_machine(host: &str) -> bool {
    let name = match host.strip_prefix('[') {
        Some(rest) => rest.split(']').next().unwrap_or_default(),
        None => host.split(':').next().unwrap_or_default(),
    };
    let name = name.to_ascii_lowercase();
    name == "localhost"
        || name.ends_with(".localhost")
        || name
            .parse::<IpAddr>()
            .is_ok_and(|address| address.to_canonical().is_loopback())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn this_machine_goes_by_its_loopback_names() {
        for host in [
            "localhost",
            "LOCALHOST:8080",
            "127.0.0.1:8080",
            "127.8.9.1",
            "[::1]:8080",
            "yard.localhost:80",
        ] {
            assert!(names_this_machine(host), "{host}");
        }
        for host in [
            "",
            "your.name",
            "localhost.your.name",
            "192.168.1.5:8080",
            "[2001:db8::1]",
            "127.0.0.1.your.name",
        ] {
            assert!(!names_this_machine(host), "{host}");
        }
    }

    /// Source: RFC 4291 section 2.5.4: the interface takes the lower 64 bits.
    #[test]
    fn a_subscriber_counts_as_one() {
        let of = |text: &str| network(text.parse().unwrap());
        assert_eq!(of("2001:db8:1:2:3:4:5:6"), of("2001:db8:1:2:ffff::9"));
        assert_ne!(of("2001:db8:1:2::1"), of("2001:db8:1:3::1"));
        assert_eq!(of("::ffff:192.0.2.1"), "192.0.2.1");
    }

    #[test]
    fn of_several_addresses_the_last_is_the_proxys_own_word() {
        assert_eq!(told("198.51.100.7, 192.0.2.1"), "192.0.2.1".parse().ok());
        assert_eq!(told("unknown"), None);
    }
}
