//! Where the bytes of photos live: a folder, or an S3-compatible bucket, by one URL.

use std::path::Path as FilePath;
use std::sync::Arc;
use std::time::Duration;

use object_store::aws::{AmazonS3Builder, AmazonS3ConfigKey};
use object_store::local::LocalFileSystem;
use object_store::prefix::PrefixStore;
use object_store::{ObjectStore, RetryConfig};

use crate::error::ServerError;
use crate::settings::make_folder;

/// How long a request to the bucket is tried again: a phone waits for the answer.
const PATIENCE: Duration = Duration::from_secs(40);

/// Opens the place that `location` names: a path, `file://PATH`, or
/// `s3://BUCKET/PREFIX?endpoint=URL&region=NAME&virtual_hosted=true`. Keys come from `variables` alone
/// (`AWS_ACCESS_KEY_ID`, `AWS_SECRET_ACCESS_KEY` and their like), never from the URL.
///
/// # Errors
/// [`ServerError::Setting`] for anything else.
pub fn open(
    location: &str,
    variables: impl IntoIterator<Item = (String, String)>,
) -> Result<Arc<dyn ObjectStore>, ServerError> {
    install_tls();
    match location.split_once("://") {
        None | Some(("file", "")) => folder(location),
        Some(("file", path)) => folder(path),
        Some(("s3", rest)) => bucket(rest, variables),
        Some((scheme, _)) => Err(ServerError::Setting(format!(
            "photos cannot be kept at '{scheme}://': name a folder or an s3:// bucket with --photos-url"
        ))),
    }
}

/// Names the one implementation of TLS in this program; once it is named, it stays.
pub fn install_tls() {
    // The second call finds it named already, which is what it is for.
    let _ = rustls::crypto::ring::default_provider().install_default();
}

fn folder(path: &str) -> Result<Arc<dyn ObjectStore>, ServerError> {
    let path = FilePath::new(path);
    make_folder(path)?;
    let folder = LocalFileSystem::new_with_prefix(path)?.with_fsync(true);
    Ok(Arc::new(folder))
}

fn bucket(
    rest: &str,
    variables: impl IntoIterator<Item = (String, String)>,
) -> Result<Arc<dyn ObjectStore>, ServerError> {
    let (place, options) = rest.split_once('?').unwrap_or((rest, ""));
    let (name, prefix) = place.split_once('/').unwrap_or((place, ""));
    if name.is_empty() {
        return Err(ServerError::Setting(
            "--photos-url names no bucket: write it like s3://bucket/prefix".into(),
        ));
    }
    let mut builder = AmazonS3Builder::new();
    for (variable, value) in variables {
        if let Some(key) = key_of(&variable) {
            builder = builder.with_config(key, value);
        }
    }
    builder = builder.with_bucket_name(name).with_retry(RetryConfig {
        max_retries: 3,
        retry_timeout: PATIENCE,
        ..RetryConfig::default()
    });
    for option in options.split('&').filter(|option| !option.is_empty()) {
        builder = with_option(builder, option)?;
    }
    let bucket = builder.build()?;
    Ok(match prefix.trim_matches('/') {
        "" => Arc::new(bucket),
        prefix => Arc::new(PrefixStore::new(bucket, prefix)),
    })
}

/// What a variable of the environment sets, by the names that are usual for buckets.
fn key_of(variable: &str) -> Option<AmazonS3ConfigKey> {
    if !variable.starts_with("AWS_") {
        return None;
    }
    variable.to_ascii_lowercase().parse().ok()
}

fn with_option(builder: AmazonS3Builder, option: &str) -> Result<AmazonS3Builder, ServerError> {
    match option.split_once('=') {
        // Without TLS only where the address itself says so.
        Some(("endpoint", url)) if url.starts_with("http://") => {
            Ok(builder.with_endpoint(url).with_allow_http(true))
        }
        Some(("endpoint", url)) if url.starts_with("https://") => Ok(builder.with_endpoint(url)),
        Some(("region", region)) => Ok(builder.with_region(region)),
        Some(("virtual_hosted", "true")) => Ok(builder.with_virtual_hosted_style_request(true)),
        _ => Err(ServerError::Setting(format!(
            "--photos-url: '{option}' is none of endpoint=http(s)://…, region=…, virtual_hosted=true. Keys belong in \
             the environment (AWS_ACCESS_KEY_ID, AWS_SECRET_ACCESS_KEY), not in the URL"
        ))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refusal(location: &str) -> String {
        open(location, []).expect_err("it is refused").to_string()
    }

    #[test]
    fn what_is_neither_folder_nor_bucket_is_refused_with_what_to_do() {
        assert!(refusal("elsewhere://bucket").contains("--photos-url"));
        assert!(refusal("s3:///prefix").contains("no bucket"));
        assert!(refusal("s3://bucket?endpoint=ftp://x").contains("endpoint"));
        assert!(refusal("s3://bucket?secret_access_key=x").contains("environment"));
    }

    #[test]
    fn buckets_open_with_and_without_a_prefix() {
        for location in [
            "s3://bucket",
            "s3://bucket/a/b?endpoint=http://127.0.0.1:9&region=here",
        ] {
            assert!(open(location, []).is_ok(), "{location}");
        }
    }
}
