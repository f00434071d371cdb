"""prediction = filter × source × field, labelled: one Dataset that explains itself."""

from acoustics.prediction.labels import package_version
from acoustics.prediction.predict import predict

__all__ = ["package_version", "predict"]
