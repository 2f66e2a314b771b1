"""What two people do at one wall at the same moment. Nothing here imports Django at the top (see tests.people)."""


def replace_it(number, posting_id, user_ids):
    """See a paper that hangs, then say that another hangs in its place; return whether it was so, and the answer."""
    from django.core.exceptions import ValidationError

    from safety import services
    from safety.models import Posting
    from studio.models import User

    posting = Posting.objects.select_related("notice", "studio").get(pk=posting_id)
    try:
        new = services.replace(posting, by=User.objects.get(pk=user_ids[number]), page_url="https://paints.example/")
    except ValidationError as error:
        return False, " ".join(error.messages)
    return True, str(new.notice.fingerprint)
