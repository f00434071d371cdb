"""What any build would read on the bench where it was measured."""
