//! What only a bucket can get wrong: keys, addresses, and writing over what is there.

use setdown_server::photo_store::PhotoStore;
use setdown_tests::bucket::Bucket;
use setdown_types::digest::digest_hex;
use setdown_types::ids::OrganisationId;

use super::photos::picture;

#[tokio::test(flavor = "multi_thread")]
async fn what_is_there_is_never_written_over() {
    let bucket = Bucket::start().await;
    let store = PhotoStore::open_with(&bucket.url(), bucket.variables(bucket.secret())).unwrap();
    let (first, other) = (picture(5, 5), picture(6, 6));
    let name = digest_hex(&first);
    for bytes in [&first, &other] {
        // The second claims the first one's name, as only a broken caller could.
        let checked = store
            .check(&digest_hex(bytes), bytes.clone().into())
            .await
            .unwrap();
        store
            .put(OrganisationId::NIL, &name, bytes.clone().into(), checked)
            .await
            .unwrap();
    }
    let kept = store.get(OrganisationId::NIL, &name).await.unwrap();
    assert_eq!(kept, first);
    store.delete(OrganisationId::NIL, &name).await.unwrap();
    store.delete(OrganisationId::NIL, &name).await.unwrap();
    assert!(store.get(OrganisationId::NIL, &name).await.is_err());
}

#[tokio::test(flavor = "multi_thread")]
async fn a_wrong_secret_and_no_peer_are_told_as_errors() {
    let bucket = Bucket::start().await;
    let bytes = picture(7, 7);
    let name = digest_hex(&bytes);
    let nobody = format!(
        "s3://pictures?endpoint=http://127.0.0.1:{}",
        setdown_tests::server::free_port()
    );
    for (url, secret) in [(bucket.url(), "not the secret"), (nobody, bucket.secret())] {
        let store = PhotoStore::open_with(&url, bucket.variables(secret)).unwrap();
        let checked = store.check(&name, bytes.clone().into()).await.unwrap();
        let put = store
            .put(OrganisationId::NIL, &name, bytes.clone().into(), checked)
            .await;
        assert!(put.is_err(), "{url}");
    }
    assert!(!bucket.kept().exists(), "nothing was written");
}
